"""Worked calculations: inputs and what must come out of them, so that a changed number of a printed table is noticed."""

import math
from collections.abc import Mapping
from typing import Any, TypeAlias

import orjson
from msgspec import Struct

from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.cases.positions import position
from bondwright.cases.reading import nearest
from bondwright.conclude.concluding import plainly
from bondwright.errors import BondwrightError, NotJson, Refused, UnreadableRules
from bondwright.facts.conductors import SIZED_METALS
from bondwright.installation.documents import pointer, read_document, strict_json
from bondwright.installation.terms import Terms
from bondwright.rulebook.kinds import TABLES
from bondwright.rulebook.pack import RulePack

Json: TypeAlias = Any

FOLDER = "calculations"
"""Where they stand below the folder of a family, and below the rules folder those that every family shares."""

_KEYS = ("claim", "rests_on", "calculation", "rows")
_SINCE = "since_revision"
_ROW = ("inputs", "gives")
_SHARE = 0.0001
"""How far a number may lie from the one written, as a share of it: printed ones are rounded."""


class WorkedRow(Struct, frozen=True):
    """One row: the inputs as they would be sent, and what is expected, by name. `place`: file, line, column.

    `since_revision`: earlier revisions, where a later one follows them, are not held to it, for they were published before it was written.

    Expected are results, words of judgements, what a step uses or gives, and clauses cited.
    """

    name: str
    calculation: str
    inputs: Json
    gives: Mapping[str, float | str]
    place: str
    since_revision: int = 0

    def faults(self, pack: RulePack) -> list[str]:
        """What comes out otherwise by a pack."""
        asked = CALCULATIONS[self.calculation]
        try:
            inputs, _ = read_document(orjson.dumps(self.inputs), asked.inputs, _terms(pack))
            answer = calculate(asked, inputs, pack, plainly(pack))
        except Refused as error:
            return [f"refused at `{error.faults[0].pointer or '/'}`: {error.faults[0].detail}"]
        steps = (one for step in answer.working for one in (*step.inputs, step.gives))
        found: dict[str, float | str] = {one.name: one.value for one in (*steps, *answer.results)}
        found |= {one.name: one.word for one in answer.judgements}
        found |= {f"clause of {one.what}": one.clause for one in answer.sources}
        return [
            f"{name} is {found.get(name, 'not given')}, expected {wanted}"
            for name, wanted in self.gives.items()
            if not _alike(found.get(name), wanted)
        ]

    def notices(self, pack: RulePack) -> bool:
        """Whether something comes out otherwise by a pack, or nothing at all."""
        try:
            return bool(self.faults(pack))
        except (BondwrightError, LookupError, ValueError, AssertionError):
            return True


def read_rows(text: bytes, file: str) -> tuple[WorkedRow, ...]:
    """The rows of a file of worked calculations; `file`: its name within the rules folder. Raises: UnreadableRules, with its place."""
    try:
        document: Json = strict_json(text)
    except NotJson as error:
        raise UnreadableRules(file, 1, 1, error.faults[0].detail) from None
    _object(document, _KEYS, text, file, (), (_SINCE,))
    for key in ("claim", "rests_on"):
        if not isinstance(document[key], str) or not document[key].strip():
            raise _refused(text, file, (key,), f"`{key}` is text that is not empty")
    name = document["calculation"]
    if name not in CALCULATIONS:
        raise _refused(text, file, ("calculation",), f"`{name}` is no calculation{nearest(str(name), tuple(CALCULATIONS))}")
    since = document.get(_SINCE, 0)
    if not isinstance(since, int) or isinstance(since, bool) or since < 0:
        raise _refused(text, file, (_SINCE,), f"`{_SINCE}` is the number of the first revision that is held to it, such as 2")
    rows = document["rows"]
    if not isinstance(rows, list) or not rows:
        raise _refused(text, file, ("rows",), "`rows` is a list of inputs and what they give; write at least one")
    return tuple(_row(one, name, since, text, file, ("rows", str(index))) for index, one in enumerate(rows))


def _row(row: Json, name: str, since: int, text: bytes, file: str, path: tuple[str, ...]) -> WorkedRow:
    _object(row, _ROW, text, file, path)
    gives = row["gives"]
    if not isinstance(gives, dict) or not gives or not all(isinstance(one, int | float | str) for one in gives.values()):
        raise _refused(text, file, (*path, "gives"), "`gives` is an object of numbers and words by the name of result or judgement")
    line, column = position(text, pointer(path))
    return WorkedRow(f"{file} (row {int(path[-1]) + 1})", name, row["inputs"], gives, f"{file}:{line}:{column}", since)


def _object(value: Json, known: tuple[str, ...], text: bytes, file: str, path: tuple[str, ...], may_be: tuple[str, ...] = ()) -> None:
    if not isinstance(value, dict):
        raise _refused(text, file, path, f"here stands an object with {', '.join(f'`{key}`' for key in known)}")
    for key in value:
        if key not in (*known, *may_be):
            raise _refused(text, file, (*path, key), f"`{key}` is no key here{nearest(key, (*known, *may_be))}")
    for key in known:
        if key not in value:
            raise _refused(text, file, path, f"`{key}` is missing here")


def _refused(text: bytes, file: str, path: tuple[str, ...], detail: str) -> UnreadableRules:
    return UnreadableRules(file, *position(text, pointer(path)), detail)


def _alike(found: float | str | None, wanted: float | str) -> bool:
    if isinstance(found, str | None) or isinstance(wanted, str):
        return found == wanted
    return math.isclose(found, wanted, rel_tol=_SHARE)


def _terms(pack: RulePack) -> Terms:
    """The words that calculations by one pack may be asked with: metals of conductors, kinds of locations, those in its tables."""
    columns: dict[str, dict[str, None]] = {}
    for name, table in pack.references.items():
        for keys, _ in table:
            for column, key in zip(table.by, keys, strict=True):
                if isinstance(key, str):
                    columns.setdefault(f"{name}/{column}", {})[key] = None
    own = {"conductor_metal": tuple(pack.rows(SIZED_METALS)), "location": tuple(pack.rows(TABLES["location"]))}
    return Terms({**{name: tuple(words) for name, words in columns.items()}, **own})
