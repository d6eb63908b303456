"""Typed reading of single values: what a key expects decides the type, never how a scalar looks."""

import difflib
import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import TypeVar

from bondwright.rulebook.facts import NO, UNKNOWN, YES, Place
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused, shown
from bondwright.units import UNITS, decimal, in_base, is_base, spellings

NAME = re.compile(r"[a-z][a-z0-9_]*")
"""Facts, outcomes, stages, values, series, acts, subject kinds."""
HYPHENED = re.compile(r"[a-z][a-z0-9-]*")
"""Rules, tables, sources, packs."""
MEMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
"""Choices, levels and rows of properties."""

Word = TypeVar("Word", bound=str)
_CONDITION_WORDS = ("all", "any", "not")
_LOOKS_LIKE_A_NUMBER = re.compile(r"[-+]?[0-9][0-9.,:_+eE-]*")


def as_map(node: Node, what: str) -> Map:
    """`node`, which must be a map; `what` names it in the refusal, here and below."""
    if not isinstance(node, Map):
        raise refused(node.place, f"{what} must be a map, such as `{{key: value}}`")
    return node


def as_items(node: Node, what: str) -> list[Node]:
    """The members of `node`, which must be a list."""
    if not isinstance(node, Items):
        raise refused(node.place, f"{what} must be a list, such as `[one, two]`")
    return node.items


def as_scalar(node: Node, what: str) -> Scalar:
    """`node`, which must be one value."""
    if not isinstance(node, Scalar):
        raise refused(node.place, f"{what} must be one value, not a list or a map")
    return node


def fields(node: Node, what: str, required: Iterable[str], optional: Iterable[str] | None = ()) -> dict[str, Node]:
    """The entries of a map that has all the `required` keys and no key beyond those and the `optional` ones (None: any)."""
    entries, required = as_map(node, what), tuple(required)
    known = (*required, *(optional or ()))
    for key in entries.keys.values():
        if optional is not None and key.text not in known:
            raise refused(key.place, f"{what} has no key {shown(key.text)}{suggestion(key.text, known)}")
    for name in required:
        if name not in entries.entries:
            raise refused(entries.place, f"{what} lacks `{name}`")
    return entries.entries


def suggestion(name: str, known: Iterable[str]) -> str:
    """What to put after an unknown name: the nearest known one, or all of them where they are few."""
    known = tuple(known)
    near = [word for word in known if word.casefold() == name.casefold()] or difflib.get_close_matches(name, known, n=1)
    if near:
        return f"; did you mean `{near[0]}`?"
    return f"; known: {listed(known)}" if 0 < len(known) <= 8 else ""


def listed(names: Iterable[str]) -> str:
    """Names in backticks with commas."""
    return ", ".join(f"`{name}`" for name in names)


def one_of(node: Node, known: Iterable[Word], what: str) -> Word:
    """The member of `known` that `node` names; refused with the nearest one."""
    scalar, known = as_scalar(node, what), tuple(known)
    if scalar.text in known:
        return known[known.index(scalar.text)]
    raise refused(scalar.place, f"{shown(scalar.text)} is no {what}{suggestion(scalar.text, known)}")


def some_of(node: Node, known: Iterable[str], what: str) -> tuple[str, ...]:
    """One or more different members of `known`, written as one value or as a list; in the order written."""
    known = tuple(known)
    nodes = node.items if isinstance(node, Items) else [node]
    if not nodes:
        raise refused(node.place, f"the list is empty; name at least one {what}")
    found: list[str] = []
    for member in nodes:
        word = one_of(member, known, what)
        if word in found:
            raise refused(member.place, f"{what} `{word}` stands twice in the list")
        found.append(word)
    return tuple(found)


def text(node: Node, what: str) -> str:
    """One line of text, not empty; in quotes where it looks like a number."""
    scalar = as_scalar(node, what)
    line = scalar.text.strip()
    if not scalar.quoted and _LOOKS_LIKE_A_NUMBER.fullmatch(line):
        raise refused(scalar.place, f'{what} is text that looks like a number; put it in quotes: "{line}"')
    if "\n" in line:
        raise refused(scalar.place, f"{what} must be one line of text; fold a long one with `>-`")
    return scalar.text if line == scalar.text else line  # the very one, which may know its code


def texts(node: Node, what: str) -> tuple[str, ...]:
    """A list of lines of text, which may be empty."""
    return tuple(text(member, what) for member in as_items(node, what))


def new_name(node: Node, what: str, pattern: re.Pattern[str] = NAME) -> str:
    """A name that is being given here, in the letters that such names have."""
    scalar = as_scalar(node, what)
    if not pattern.fullmatch(scalar.text):
        allowed = {
            NAME: "a small letter, then small letters, digits and `_`",
            HYPHENED: "a small letter, then small letters, digits and `-`",
        }
        right = allowed.get(pattern, "letters, digits, `_` and `-`")
        raise refused(scalar.place, f"{shown(scalar.text)} cannot be the name of {what}; write {right}")
    return scalar.text


def new_members(nodes: Iterable[Node], what: str) -> tuple[str, ...]:
    """Names of the members of a choice or a ladder: at least two, all different, none of them yes, no or unknown."""
    found: list[str] = []
    place: Place | None = None
    for node in nodes:
        place = place or node.place
        name = new_name(node, what, MEMBER)
        if name in (YES, NO, UNKNOWN):
            raise refused(node.place, f"`{name}` cannot be the name of {what}; it has a meaning of its own")
        if name in found:
            raise refused(node.place, f"{what} `{name}` stands twice")
        found.append(name)
    if place is not None and len(found) < 2:
        raise refused(place, f"only one {what.split(' ', 1)[-1]} is named; name at least two")
    return tuple(found)


def row_name(key: Scalar, what: str) -> str:
    """The name of a fact or outcome, which conditions must be able to tell from their own words."""
    name = new_name(key, what)
    if name in _CONDITION_WORDS:
        raise refused(key.place, f"`{name}` cannot be the name of {what}; conditions use it")
    return name


def yes_or_no(node: Node, what: str) -> bool:
    """True for `yes`, False for `no`."""
    return one_of(node, (YES, NO), f"value of {what}") == YES


def day(node: Node, what: str) -> date:
    """A date written as 2026-04-15."""
    scalar = as_scalar(node, what)
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", scalar.text):
        try:
            return date.fromisoformat(scalar.text)
        except ValueError:
            pass
    raise refused(scalar.place, f"{shown(scalar.text)} is no date; write {what} as year-month-day, such as `2026-04-15`")


def number(node: Node, what: str) -> float:
    """A bare number, for a column or list whose unit is stated once."""
    scalar = as_scalar(node, what)
    return float(_decimal(scalar, scalar.text))


def base_unit(node: Node, what: str) -> str:
    """The unit in which `what` is held."""
    scalar = as_scalar(node, what)
    if is_base(scalar.text):
        return scalar.text
    if scalar.text in UNITS:
        raise refused(scalar.place, f"{what} is declared in the base unit; write `{UNITS[scalar.text].base}` instead of `{scalar.text}`")
    raise refused(scalar.place, f"{shown(scalar.text)} is no unit{suggestion(scalar.text, (name for name in UNITS if is_base(name)))}")


def quantity(node: Node, unit: str, what: str) -> float:
    """A number with a unit, in the base unit `unit`."""
    value, found = any_quantity(node, what, spellings(unit))
    if found != unit:
        right = listed(spellings(unit))
        raise refused(node.place, f"{shown(as_scalar(node, what).text)} has the wrong unit; write {what} in {right}")
    return value


def any_quantity(node: Node, what: str, units: Iterable[str] = UNITS) -> tuple[float, str]:
    """A number with any unit: its value in the base unit, and that unit."""
    scalar = as_scalar(node, what)
    written, _, unit = scalar.text.partition(" ")
    value = _decimal(scalar, written)
    if not unit:
        raise refused(
            scalar.place, f"{shown(scalar.text)} lacks its unit; write {what} in {listed(units)}, such as `{written} {next(iter(units))}`"
        )
    if unit not in UNITS:
        raise refused(scalar.place, f"{shown(unit)} is no unit{suggestion(unit, units)}")
    return in_base(value, unit), UNITS[unit].base


def _decimal(scalar: Scalar, written: str) -> Decimal:
    value = decimal(written)
    if value is None:
        right = "write digits with a dot, such as `1.5`: no comma, sign, exponent, colon or leading zero"
        raise refused(scalar.place, f"{shown(scalar.text)} is no number as rule files write one; {right}")
    return value
