"""How a description is read and judged: the one place here that knows, so that it can follow when the service's own code moves.

`uv run python -m tests.longer.judging PACK_ID < DESCRIPTION` prints the answer as it is digested.
"""

import sys
from functools import cache

import orjson
from tests.described import read, terms
from tests.form_3 import as_form_3

from bondwright.compose.written.writing import evaluation_bytes
from bondwright.conclude.concluding import Acting, plainly
from bondwright.errors import BondwrightError, Refused
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.withdrawn import withdrawn_packs


@cache
def standing() -> tuple[str, ...]:
    """Ids of the published packs that are not withdrawn, in order."""
    packs = on_shelf(rules_folder())
    gone = withdrawn_packs(rules_folder(), packs)
    return tuple(pack.pack_id for pack in packs if pack.pack_id not in gone)


@cache
def _read(pack_id: str) -> tuple[RulePack, Acting]:
    pack = next(one for one in on_shelf(rules_folder()) if one.pack_id == pack_id).whole()
    return pack, plainly(pack)


def answered(description: bytes, pack_id: str) -> bytes:
    """The answer of a pack, whatever the day of the work, by the plain reader alone; of an error its kind and its faults, as JSON.

    It is turned back into form 3, of which the record is, so that form 4 says no less of any description.
    """
    pack, acting = _read(pack_id)
    try:
        return as_form_3(evaluation_bytes(evaluate(read(description), pack, acting)), pack, terms())
    except Refused as error:
        return orjson.dumps({"error": type(error).__name__, "faults": [[fault.pointer, fault.detail] for fault in error.faults]})
    except BondwrightError as error:
        return orjson.dumps({"error": type(error).__name__, "says": str(error)})


if __name__ == "__main__":
    sys.stdout.buffer.write(answered(sys.stdin.buffer.read(), sys.argv[1]))
