"""Mistakes in the text of a pack: a named value a tenth off, a number in another unit, a date a year off. Each text is to be read anew."""

import re
from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from bondwright.proofs.mutations import Part
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.units import UNITS, spellings

_SHARE = Decimal("0.1")
"""By how much a named value is moved, as a share of it."""
_UNITS = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
_VALUE = re.compile(r"\bvalue: ([0-9.]+) ([^,}]+)")
_FACT = re.compile(r"\bunit: ([^,}]+)")
_TABLE = re.compile(r"^ +gives: ([^ {]+)$")
_REFERENCE = re.compile(r"^ +gives: \{[^:}]+: ([^}]+)\}")
_OPERAND = re.compile(rf"(?<![\w.\"-])[0-9][0-9.]* ({_UNITS})(?![\w/])")
_DECIDES = re.compile(r"^ +(?:when|sizes|provides):")
_SAYS = re.compile(r"^ +(?:id|from|clause|says|other_view|source|examples|raises|relaxes|blocks|remarks):")
_DATES = {
    "usable_from": re.compile(r"^ +usable: \{from: ([0-9]{4})-"),
    "usable_to": re.compile(r"^ +usable: \{from: [^,]+, to: ([0-9]{4})-"),
    "review_by": re.compile(r"^ +review_by: ([0-9]{4})-"),
}


class Slip(Struct, frozen=True):
    """The text of a pack with one mistake: what was done, where, and in which part.

    `asks`: publishing asks for a reason where what the pack before had becomes another thing in this way.
    """

    text: bytes
    what: str
    place: Place
    part: Part
    asks: bool


def slips(pack: RulePack) -> Iterator[Slip]:
    """Every such mistake in the text of a pack: in its dates, values, facts, tables, reference tables, and numbers within rules."""
    text = _Text(pack)
    for field, pattern in _DATES.items():
        yield from text.dates(field, pattern)
    for name, value in pack.values.items():
        yield from text.values(name, value.place)
    for name, fact in pack.facts.items():
        if fact.kind == "number":
            yield from text.units(("fact", name), text.entry("facts", name), _FACT)
    for name, table in pack.tables.items():
        yield from text.units(("table", name), table.place, _TABLE)
    for name, reference in pack.references.items():
        yield from text.units(("reference", name), reference.place, _REFERENCE)
    for rule in pack.rules:
        yield from text.operands(("rule", rule.rule_id), rule.place)


class _Text:
    """The lines of a pack, and mistakes in them."""

    def __init__(self, pack: RulePack) -> None:
        self._lines = pack.text.decode().split("\n")
        self._file = next(iter(pack.rules)).place.file

    def entry(self, section: str, name: str) -> Place:
        """Where an entry of a section begins."""
        start = self._lines.index(f"{section}:")
        at = next(at for at in range(start, len(self._lines)) if self._lines[at].startswith(f"  {name}:"))
        return Place(self._file, at + 1, 3)

    def dates(self, field: str, pattern: re.Pattern[str]) -> Iterator[Slip]:
        """A date of the pack itself, a year earlier and a year later; none where it is open."""
        for place, found in self._found(Place(self._file, self._lines.index("pack:") + 1, 1), pattern):
            for year in (int(found[1]) - 1, int(found[1]) + 1):
                yield self._slip(place, found.span(1), str(year), f"`{field}` is in {year}, not in {found[1]}", ("date", field), asks=True)
            return

    def values(self, name: str, place: Place) -> Iterator[Slip]:
        """A named value a tenth less, a tenth more, and in other units."""
        part = ("value", name)
        for at, found in self._found(place, _VALUE):
            for share in (1 - _SHARE, 1 + _SHARE):
                moved = f"{Decimal(found[1]) * share:f}"
                yield self._slip(at, found.span(1), moved, f"value `{name}` is {moved} for {found[1]}", part, asks=False)
            yield from self._units(at, found.span(2), found[2].strip(), part)
            return

    def units(self, part: Part, place: Place, pattern: re.Pattern[str]) -> Iterator[Slip]:
        """The unit of a fact or table mistaken for others."""
        for at, found in self._found(place, pattern):
            yield from self._units(at, found.span(1), found[1].strip(), part)
            return

    def operands(self, part: Part, place: Place) -> Iterator[Slip]:
        """The unit of each number by which a rule decides mistaken for others."""
        deciding = False
        for at, line in self._below(place):
            deciding = bool(_DECIDES.match(line)) or (deciding and not _SAYS.match(line))
            for found in _OPERAND.finditer(line) if deciding else ():
                yield from self._units(at, found.span(1), found[1], part)

    def _units(self, place: Place, span: tuple[int, int], unit: str, part: Part) -> Iterator[Slip]:
        kind, name = part
        for other in _others(unit):
            told = f"{kind} `{name}` has `{other}` for the unit `{unit}`"
            yield self._slip(place, span, other, told, part, asks=kind in ("value", "fact", "reference"))

    def _found(self, place: Place, pattern: re.Pattern[str]) -> Iterator[tuple[Place, re.Match[str]]]:
        yield from ((at, found) for at, line in self._below(place) if (found := pattern.search(line)))

    def _below(self, place: Place) -> Iterator[tuple[Place, str]]:
        """The lines of the entry that begins at a place, each with its own: as far as the next one that begins no further in."""
        first = self._lines[place.line - 1]
        indent = len(first) - len(first.lstrip())
        for at in range(place.line - 1, len(self._lines)):
            line = self._lines[at]
            if at >= place.line and line.strip() and len(line) - len(line.lstrip()) <= indent:
                return
            yield Place(place.file, at + 1, 1), line

    def _slip(self, place: Place, span: tuple[int, int], now: str, what: str, part: Part, *, asks: bool) -> Slip:
        line = self._lines[place.line - 1]
        changed = f"{line[: span[0]]}{now}{line[span[1] :]}"
        lines = (*self._lines[: place.line - 1], changed, *self._lines[place.line :])
        return Slip("\n".join(lines).encode(), what, place._replace(column=span[0] + 1), part, asks)


def _others(unit: str) -> Iterator[str]:
    """Another spelling for the same kind of quantity, if there is one, and the unit of another kind."""
    base = UNITS[unit].base if unit in UNITS else ""
    yield from [one for one in spellings(base) if one != unit][:1]
    yield next(name for name, one in UNITS.items() if one.base != base and name != unit)
