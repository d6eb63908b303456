"""Evaluates descriptions in the tree whose Python runs this: `PYTHON tests/benchmarks/evaluate_here.py DESCRIPTIONS`; prints JSON.

DESCRIPTIONS: a file of JSON, lists of texts by name, evaluated in this order, one after the other. Printed are seconds of processor for
each of them, none where there is no answer. It asks only what every version of the assembly has: an evaluation recorded nowhere, from the
bytes of a description to the bytes of its answer; for those called `met` and `known`, all that a request has done
to it before it is recorded.
Packs that are withdrawn judge here too where a description names them, so that two trees can be compared by a pack that both have.
"""

import gc
import json
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import process_time

from bondwright.assembly import TENANT, Bondwright, build, parts
from bondwright.errors import BondwrightError
from bondwright.settings import Settings


def evaluated(bondwright: Bondwright, raw: bytes) -> None:
    """Nothing, once it is evaluated. Raises as that."""
    bondwright.evaluate(raw)


def found(bondwright: Bondwright, raw: bytes) -> None:
    """Nothing, once it is evaluated for a request, or found among the answers that were given before. Raises as that."""
    price = (bondwright.price(raw),) if hasattr(bondwright, "price") else ()
    bondwright._found(raw, TENANT, None, *price)


def seconds(answered: Callable[[Bondwright, bytes], None], bondwright: Bondwright, raw: bytes) -> float | None:
    """Processor for one answer; none, if it is refused."""
    begun = process_time()
    try:
        answered(bondwright, raw)
    except BondwrightError:
        return None
    return process_time() - begun


def main(descriptions: Path) -> None:
    """Evaluates all and prints what each took."""
    if hasattr(parts, "withdrawn_packs"):
        parts.withdrawn_packs = lambda *_: {}
    with tempfile.TemporaryDirectory() as folder:
        bondwright = build(Settings(data_folder=Path(folder)))
        bondwright.ready()
        asked = json.loads(descriptions.read_text(encoding="utf-8"))
        for pack in {json.loads(text).get("rule_pack") for texts in asked.values() for text in texts} - {None}:
            # Read and built, as those of today are by now.
            least = {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "rule_pack": pack}
            seconds(evaluated, bondwright, json.dumps(least).encode())
        gc.collect()
        gc.freeze()
        ways = {name: found if name in ("met", "known") else evaluated for name in asked}
        print(json.dumps({name: [seconds(ways[name], bondwright, text.encode()) for text in texts] for name, texts in asked.items()}))
        bondwright.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
