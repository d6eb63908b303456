"""Prices beside what they stand for: `uv run python -m tests.benchmarks.bench_prices`.

The worst descriptions of each shape, in growing sizes up to their limits, evaluated in this process: the processor time of a price of 1,
which should be much the same everywhere, and the bytes of answer that come with it. The last lines say within which factor of the median
it stays. Compare inside one run only.
"""

import json
from collections.abc import Iterator
from contextlib import closing
from statistics import median
from time import process_time

from tests.benchmarks.load import well_known
from tests.benchmarks.worst import MOST, SHAPES

from bondwright.assembly import Bondwright, build
from bondwright.settings import Limits, Settings, read_settings

SIZES = (0.05, 0.25, 1.0)
LEAST_S = 0.02
"""What takes less is not counted: there a first meeting with a situation decides."""


def measured(bondwright: Bondwright) -> Iterator[tuple[str, float, float]]:
    """Of each description its name, ms and kB of answer for a price of 1."""
    for name, shape in SHAPES.items():
        for part in SIZES:
            size = max(1, round(MOST[name] * part))
            raw = json.dumps(shape(size)).encode()
            begun = process_time()
            answer = bondwright.evaluate(raw).body
            seconds, price = process_time() - begun, bondwright.price(raw)
            each_ms, each_kb = seconds / price * 1000, len(answer) / price / 1000
            each = f"{each_ms:6.2f} ms  {each_kb:6.1f} kB for a price of 1"
            print(f"{name:16} {size:6}  price {price:6,}  {seconds:7.3f} s  {each}", flush=True)
            if seconds >= LEAST_S:
                yield f"{name} {size}", each_ms, each_kb


def main() -> None:
    """Evaluate all of them once."""
    settings = read_settings({})
    with closing(build(Settings(settings.data_folder, limits=Limits()))) as bondwright:
        for raw in well_known():
            bondwright.evaluate(raw)
        found = list(measured(bondwright))
    usual = median(each_ms for _, each_ms, _ in found)
    above = max(found, key=lambda one: one[1])
    below = min(found, key=lambda one: one[1])
    print(f"a price of 1 takes {usual:.2f} ms; at most {above[1] / usual:.1f} times as long ({above[0]})")
    print(f"and {usual / below[1]:.1f} times less ({below[0]}); an answer has at most {max(one[2] for one in found):.0f} kB for it")


if __name__ == "__main__":
    main()
