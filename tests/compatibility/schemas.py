"""Where one schema is no longer compatible with another, and why.

`containment` judges; what is here finds the innermost place to blame, and looks at what validation does not see.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from tests.compatibility.breaks import Break, Direction, changed, gone
from tests.compatibility.containment import takes_all_of
from tests.compatibility.places import Place

from bondwright.api.described.document import LEFT_OUT

BRANCHES = ("anyOf", "oneOf", "allOf")
INNER = ("items", "additionalProperties", "contains", "propertyNames", "not", "if", "then", "else")
SAID = frozenset({"title", "description", "examples", "example", "deprecated", "externalDocs", "$comment"})
"""Keywords that only say something to a reader; anyone may reword them."""

JUDGED = frozenset(
    (
        *("$ref", "type", "enum", "const", *BRANCHES, *INNER),
        *("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "multipleOf", "minLength", "maxLength", "pattern"),
        *("minItems", "maxItems", "uniqueItems", "minContains", "maxContains", "prefixItems", "unevaluatedItems"),
        *("required", "properties", "patternProperties", "minProperties", "maxProperties", "unevaluatedProperties"),
        *("dependentRequired", "dependentSchemas"),
    )
)
"""Keywords that containment judges whole."""


@dataclass(frozen=True, slots=True, eq=False)
class SchemaPair:
    """A schema of the released document and the one that stands for it now. Pairs are equal if they lead to the same."""

    released: Place
    current: Place
    direction: Direction

    def _leads_to(self) -> tuple[str, str, Direction]:
        return self.released.resolved().pointer, self.current.resolved().pointer, self.direction

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SchemaPair) and self._leads_to() == other._leads_to()

    def __hash__(self) -> int:
        return hash(self._leads_to())


def schema_breaks(pair: SchemaPair) -> list[Break]:
    """Every place where the current schema breaks callers of the released one."""
    comparison = _Comparison(pair.direction)
    comparison.compare(pair.released, pair.current, kept=False)
    return comparison.found


_LIKENESSES: tuple[Callable[[Any], Any], ...] = (
    lambda schema: schema,
    lambda schema: schema.get("$ref"),
    lambda schema: schema.get("type"),
)


@dataclass
class _Comparison:
    direction: Direction
    found: list[Break] = field(default_factory=list)
    broken: dict[tuple[str, str, bool], bool] = field(default_factory=dict)

    def compare(self, released: Place, current: Place, kept: bool) -> bool:
        """Notes what broke between two schemas, and says whether containment did; `kept`: it already holds around them."""
        self.found += _unseen_by_validation(released, current, self.direction)
        released, current = released.resolved(), current.resolved()
        pair = (released.pointer, current.pointer, kept)
        if pair not in self.broken:
            self.broken[pair] = False  # until it is known: a schema may hold itself
            self.found += _unseen_by_validation(released, current, self.direction)
            self.broken[pair] = self._compare_contained(released, current, kept or self._keeps(released, current))
        return self.broken[pair]

    def _compare_contained(self, released: Place, current: Place, kept: bool) -> bool:
        lost = [gone(member, "this member is gone", self.direction.way_out) for member in _lost_members(released, current)]
        self.found += lost
        broken_inside = [pair for pair in _pairs(released, current) if self.compare(*pair, kept)]
        if kept:
            return False
        around = any(len(_branches(released, key)) != len(_branches(current, key)) for key in BRANCHES)
        explained = bool(lost or broken_inside) and not around
        if not explained or not self._keeps(*_hollow(released, current)):
            self.found += _blame(released, current, self.direction)
        return True

    def _keeps(self, released: Place, current: Place) -> bool:
        if released.pointer != current.pointer or not (branches := _alternatives(released, current)):
            return takes_all_of(current, released) if self.direction is Direction.SENT else takes_all_of(released, current)
        return all(self._keeps(was.resolved(), now.resolved()) for was, now in branches)


def _pairs(released: Place, current: Place) -> Iterator[tuple[Place, Place]]:
    """Schemas inside both that stand for the same."""
    properties = current.at("properties")
    for name, inner in released.at("properties").members():
        if name in (properties.value or ()):
            yield inner, properties.at(name)
    was, now = (place.value if isinstance(place.value, dict) else {} for place in (released, current))
    for key in INNER:
        if isinstance(was.get(key), dict) and isinstance(now.get(key), dict):
            yield released.at(key), current.at(key)
    for key in BRANCHES:
        yield from _counterparts(_branches(released, key), _branches(current, key))


def _alternatives(released: Place, current: Place) -> list[tuple[Place, Place]]:
    """Alternatives by name, each with what stands for it now, where two schemas are nothing but those; nothing where they are not."""
    was, now = (_branches(place, "anyOf") for place in (released, current))
    named = [[place.value.get("$ref") for place in some if isinstance(place.value, dict)] for some in (was, now)]
    only = all(isinstance(place.value, dict) and place.value.keys() - SAID == {"anyOf"} for place in (released, current))
    return list(zip(was, now, strict=True)) if only and named[0] == named[1] and all(named[0]) else []


def _branches(schema: Place, key: str) -> list[Place]:
    several = schema.value.get(key) if isinstance(schema.value, dict) else None
    return [schema.at(key, index) for index in range(len(several or ()))]


def _counterparts(branches: list[Place], others: list[Place]) -> Iterator[tuple[Place, Place]]:
    """Alternatives of the two that are the same, or else name the same schema, or else are of the same type."""
    for likeness in _LIKENESSES:
        for branch in tuple(branches):
            wanted = likeness(branch.value)
            same = next((other for other in others if wanted is not None and likeness(other.value) == wanted), None)
            if same is not None:
                branches.remove(branch)
                others.remove(same)
                yield branch, same


def _lost_members(released: Place, current: Place) -> list[Place]:
    return [member for name, member in released.at("properties").members() if name not in (current.at("properties").value or ())]


def _hollow(released: Place, current: Place) -> tuple[Place, Place]:
    """The two schemas alone: what is declared of members and elements is let through, and lost members were never there."""
    lost = {member.pointer for member in _lost_members(released, current)}
    names = {name for name, member in released.at("properties").members() if member.pointer in lost}
    return _hollowed(released, names), _hollowed(current, set())


def _hollowed(schema: Place, without: set[str]) -> Place:
    if not isinstance(schema.value, dict):
        return schema
    hollow = {key: value for key, value in schema.value.items() if key not in BRANCHES}
    if isinstance(hollow.get("properties"), dict):
        hollow["properties"] = dict.fromkeys(hollow["properties"].keys() - without, True)
    if isinstance(hollow.get("required"), list):
        hollow["required"] = [name for name in hollow["required"] if name not in without]
    hollow |= {key: True for key in INNER[:2] if isinstance(hollow.get(key), dict)}
    return Place(schema.document, schema.pointer, hollow)


def _unseen_by_validation(released: Place, current: Place, direction: Direction) -> Iterator[Break]:
    was, now = (place.value if isinstance(place.value, dict) else {} for place in (released, current))
    for name in sorted({*was, *now} - JUDGED - SAID):
        if was.get(name) == now.get(name) or (name.startswith("x-") and name != LEFT_OUT):
            continue
        if name == "format" and (name not in now if direction is Direction.SENT else name not in was):
            continue
        if name in ("default", LEFT_OUT) and (direction is Direction.ANSWERED or name not in was):
            continue
        if name == "discriminator" and _mapping_only_grew(was.get(name), now.get(name), direction):
            continue
        yield changed(current, _differs(name, was, now), direction.way_out)


def _mapping_only_grew(was: Any, now: Any, direction: Direction) -> bool:
    if not (was and now) or was["propertyName"] != now["propertyName"] or direction is Direction.ANSWERED:
        return False
    kept: dict[str, str] = was.get("mapping", {})
    grown: dict[str, str] = now.get("mapping", {})
    return kept.items() <= grown.items()


def _blame(released: Place, current: Place, direction: Direction) -> list[Break]:
    """What differs between two schemas that are not compatible, at this very place."""
    was, now = (place.value if isinstance(place.value, dict) else {} for place in (released, current))
    lost = {name for name in was.get("properties", {}) if name not in now.get("properties", {})}
    required, needed = set(was.get("required", ())), set(now.get("required", ()))
    if direction is Direction.SENT:
        said = [f"member `{name}` has become required" for name in sorted(needed - required)]
    else:
        said = [f"member `{name}` may now be left out" for name in sorted(required - needed - lost)]
    whole = ("properties", "required", *SAID, *BRANCHES)
    differing = [name for name in sorted(JUDGED.difference(whole)) if was.get(name) != now.get(name)]
    said += [_differs(name, was, now) for name in differing if not (isinstance(was.get(name), dict) and isinstance(now.get(name), dict))]
    said += [_differs_in_branches(key, released, current) for key in BRANCHES if was.get(key) != now.get(key)]
    return [changed(current, what, direction.way_out) for what in said or [_in_general(direction)]]


def _differs(name: str, was: dict[str, Any], now: dict[str, Any]) -> str:
    if name not in now:
        return f"`{name}` is gone, it was {_short(was[name])}"
    if name not in was:
        return f"`{name}` is new, {_short(now[name])}"
    if isinstance(was[name], list) and isinstance(now[name], list):
        less = [_short(one) for one in was[name] if one not in now[name]]
        more = [_short(one) for one in now[name] if one not in was[name]]
        return f"`{name}` differs" + (f", gone: {', '.join(less)}" if less else "") + (f", new: {', '.join(more)}" if more else "")
    return f"`{name}` was {_short(was[name])} and is {_short(now[name])}"


def _differs_in_branches(key: str, released: Place, current: Place) -> str:
    counts = [len(place.at(key).value or ()) for place in (released, current)]
    return f"`{key}` had {counts[0]} alternatives and has {counts[1]}" if counts[0] != counts[1] else f"an alternative of `{key}` differs"


def _in_general(direction: Direction) -> str:
    if direction is Direction.SENT:
        return "not everything that was taken here is surely taken still"
    return "what is answered here is not surely what was promised"


def _short(value: Any) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"
