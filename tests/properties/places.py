"""Places in a description, by JSON Pointer, and what can be said there; all of it read off the shape of descriptions itself."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import BaseModel
from tests.described import described as read_described
from tests.described import schema_of
from tests.properties.descriptions import Said
from tests.properties.judged import pack

from bondwright.rulebook.condition import tests_in

UNKNOWN = "unknown"
_READINGS = ("0.02 ohm", "0.3 ohm", "2 ohm", "900 ohm", "1.7 kohm", "12 kohm", "40 kohm", ">999 Mohm")
"""What an instrument may have shown: on both sides of what a bond, a room and a pipe may read."""
_UNITS = {"m": "m", "mm2": "mm2", "a": "A", "size": "mm2", "cpc": "mm2", "ohm": "ohm", "s": "s"}
"""The unit of a bare number, by how the name of its field ends."""
_NAMES = frozenset({"id", "measurements", "count"})
"""Keys of a whole thing that its answer leaves out."""
_MOST_KINDS = 4


@dataclass(frozen=True, slots=True)
class Place:
    """A field of a description as it stands. `holder`: the shape that has it. `said`: what it says, none where that is nothing.

    `told`: whether it is a fact that is told of that shape.
    """

    holder: type[BaseModel]
    field: str
    said: object
    told: bool = False

    @property
    def may_be_unknown(self) -> bool:
        """Whether it takes `unknown`, or may be left out and is then none."""
        schema, root = self._schema()
        words = [word for one in _alternatives(schema, root) for word in _words(one)]
        return UNKNOWN in words or self._default() is None or self._left_out

    @property
    def open(self) -> bool:
        """Whether nothing is known of it yet."""
        return self.said is None or self.said == UNKNOWN or self._left_out

    @property
    def _left_out(self) -> bool:
        """Whether it is a whole thing of which nothing is told, though all of it may be."""
        return isinstance(self.said, BaseModel) and self.said == self._default()

    def _default(self) -> object:
        return None if self.told else self.holder.model_fields[self.field].get_default(call_default_factory=True)

    def values(self, described: Said) -> tuple[Any, ...]:
        """What can be said there, `unknown` aside; whole things, as a bond, in a few ways, of the kinds that are described first."""
        schema, root = self._schema()
        return tuple(_values(schema, root, self.field, json.dumps(described)))

    def _schema(self) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
        root = _schema_of(self.holder)
        members = root["properties"]["told"]["properties"] if self.told else root["properties"]
        return members[self.field], root


def place(described: Said, pointer: str) -> Place | None:
    """The field at `pointer`, in the shapes that the description has on the way there; none if there is none."""
    *way, last = pointer.split("/")[1:] or [""]
    here: object = read_described(described)
    for step in way:
        if step == "told" and isinstance(here, BaseModel):
            told = getattr(here, step, {})
            facts = _schema_of(type(here))["properties"].get(step, {}).get("properties", {})
            return Place(type(here), last, told.get(last), told=True) if last in facts else None
        here = _inside(here, step)
    if not isinstance(here, BaseModel) or last not in type(here).model_fields:
        return None
    return Place(type(here), last, getattr(here, last))


def answered(described: Said, answers: Mapping[str, Any]) -> Said:
    """The description with a value at each pointer."""
    copied: Said = json.loads(json.dumps(described))
    for pointer, value in answers.items():
        *way, last = pointer.split("/")[1:]
        here: Any = copied
        for step in way:
            here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
        here[last] = value
    return copied


def _inside(here: object, step: str) -> object:
    if isinstance(here, BaseModel):
        return getattr(here, step, None)
    if isinstance(here, tuple) and step.isdigit() and int(step) < len(here):
        return here[int(step)]
    return None


@cache
def _schema_of(shape: type[BaseModel]) -> Mapping[str, Any]:
    return schema_of(shape)


def _alternatives(schema: Mapping[str, Any], root: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    if "$ref" in schema:
        return _alternatives(root["$defs"][schema["$ref"].rsplit("/", 1)[1]], root)
    members = schema.get("anyOf") or schema.get("oneOf")
    return [inner for member in members for inner in _alternatives(member, root)] if members else [schema]


def _words(schema: Mapping[str, Any]) -> Sequence[str]:
    return schema.get("enum") or ([schema["const"]] if "const" in schema else [])


def _values(schema: Mapping[str, Any], root: Mapping[str, Any], field: str, described: str) -> Iterator[Any]:
    yield from schema.get("examples", ())
    for one in _alternatives(schema, root):
        if words := _words(one):
            yield from (word for word in words if word != UNKNOWN)
        elif one["type"] == "number":
            yield from _numbers(one, field)
        elif one["type"] == "string":
            yield from (reading for reading in _READINGS if re.fullmatch(one["pattern"], reading))
        elif one["type"] == "array":
            things = tuple(_values(one["items"], root, field, described))
            yield []
            yield from ([inner] for inner in things)
            if any(isinstance(inner, dict) for inner in things):
                yield list(things[:2])
        elif one["type"] == "object":
            yield from _wholes(one, root, described)


def _numbers(schema: Mapping[str, Any], field: str) -> Iterator[float]:
    """The ends, something between, and both sides of each limit that the pack has in the unit of the field."""
    least, greatest = schema["minimum"], schema["maximum"]
    limits = [limit for limit in _limits().get(_UNITS.get(field.rsplit("_", 1)[-1], ""), ()) if least < limit < greatest]
    tried = [value for limit in limits for value in (limit * 0.99, limit, limit * 1.01)]
    yield from dict.fromkeys((*tried, least, min(greatest, least + 15), greatest))


@cache
def _limits() -> Mapping[str, Sequence[float]]:
    """Every limit of a rule or table of the pack, by unit."""
    found: dict[str, set[float]] = {}
    for test in (test for rule in pack().rules for test in tests_in(rule.when)):
        if isinstance(test.operand, float):
            found.setdefault((pack().facts.get(test.fact) or pack().outcomes[test.fact]).unit, set()).add(test.operand)
    for table in pack().tables.values():
        found.setdefault((pack().facts.get(table.reads) or pack().outcomes[table.reads]).unit, set()).update(
            row.up_to for row in table.rows if row.up_to is not None
        )
    return {unit: sorted(limits) for unit, limits in found.items()}


def _wholes(schema: Mapping[str, Any], root: Mapping[str, Any], described: str) -> Iterator[Any]:
    """A thing with everything told of it: the first choice throughout, once of each kind that it must name, then others."""
    named = {key: inner for key, inner in schema["properties"].items() if key not in _NAMES}
    told = {key: tuple(_values(inner, root, key, described)) for key, inner in named.items()}
    for key in schema.get("required", ()):
        told[key] = tuple(sorted(told[key], key=lambda word: f'"{word}"' not in described)[:_MOST_KINDS])
    for key in schema.get("required", ()):
        yield from ({**_whole(told, 0), key: word} for word in told[key])
    yield from (_whole(told, turn) for turn in (0, 1, 2))


def _whole(told: Mapping[str, Sequence[Any]], turn: int) -> Said:
    return {key: some[turn % len(some)] for key, some in told.items() if some}
