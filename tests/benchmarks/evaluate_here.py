"""Evaluates descriptions in the tree whose Python runs this: `PYTHON tests/benchmarks/evaluate_here.py DESCRIPTIONS`; prints JSON.

DESCRIPTIONS: a file of JSON, lists of texts by name, evaluated in this order, one after the other. Printed are seconds of processor for
each of them, none where there is no answer. It asks only what every version of the assembly has: an evaluation recorded nowhere, from the
bytes of a description to the bytes of its answer. Packs that are withdrawn judge here too where a description names them, so that two trees
can be compared by a pack that both have.
"""

import gc
import json
import sys
import tempfile
from pathlib import Path
from time import process_time

from bondwright.assembly import Bondwright, build, parts
from bondwright.errors import BondwrightError
from bondwright.settings import Settings


def seconds(bondwright: Bondwright, raw: bytes) -> float | None:
    """Processor for one evaluation; none, if it is refused."""
    begun = process_time()
    try:
        bondwright.evaluate(raw)
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
            seconds(bondwright, json.dumps({"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "rule_pack": pack}).encode())
        gc.collect()
        gc.freeze()
        print(json.dumps({name: [seconds(bondwright, text.encode()) for text in texts] for name, texts in asked.items()}))
        bondwright.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
