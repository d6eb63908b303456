"""The descriptions whose answers are held: of every worked case and near miss, and those that were drawn once and frozen."""

import gzip
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import orjson

from bondwright.cases.reading import read_case
from bondwright.shelf.packs import rules_folder

DRAWN = Path(__file__).parent / "descriptions.jsonl.gz"
"""The drawn descriptions, a line each. How they were drawn: `drawing.py`."""


@cache
def worked() -> Mapping[str, bytes]:
    """The description of every worked case and of every near miss, by the name that the case gives it; JSON with its keys in order."""
    folder = rules_folder()
    files = [path.relative_to(folder).as_posix() for path in sorted(folder.glob("*/cases/*.json"))]
    claims = [claim for file in files for claim in read_case((folder / file).read_bytes(), file).claims]
    return {name: orjson.dumps(claim.installation, option=orjson.OPT_SORT_KEYS) for name, claim in claims}


@cache
def drawn() -> Mapping[str, bytes]:
    """The drawn descriptions, by name: `seeded 0001` and so on."""
    lines = gzip.decompress(DRAWN.read_bytes()).splitlines()
    return {f"seeded {number:04}": line for number, line in enumerate(lines, start=1)}


def described(name: str) -> bytes:
    """The description of that name. Raises: KeyError."""
    return drawn()[name] if name in drawn() else worked()[name]
