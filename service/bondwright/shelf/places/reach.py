"""Rules about places reach only the places that have what they decide, and the table of acts has a row for whatever these come to."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set

from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.condition import All, Test
from bondwright.rulebook.declared.places import ROOM, Duty, PlaceDeclared, Places, RoomRow
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import Advice, Outcome
from bondwright.rulebook.rule import Example, Examples, Polarity, Rule
from bondwright.shelf.reading.nodes import refused
from bondwright.shelf.reading.scalars import listed

_FILLED = re.compile(r"\{([^{}]*)\}")
_FILLS = ("location", "reading", "once", "duty")
"""What the words of an act for a place are filled with."""
_RESTRICTED = (Polarity.RAISES, Polarity.REMARKS)


def within_places(rules: Iterable[Rule], places: Places, kind: str) -> tuple[Rule, ...]:
    """The rules, those that raise an outcome which some places lack made to hold in the others alone; `kind`: the fact that tells it."""
    some = _only_some(places)
    return tuple(_within(rule, tuple(places.kinds), some, kind) if rule.of == ROOM else rule for rule in rules)


def about_places(examples: Examples, rules: Iterable[Rule], places: Places, kind: str) -> Examples:
    """The examples of these rules: one that says nothing of the kind is about the first place that has what it expects."""
    some, names = _only_some(places), tuple(places.kinds)

    def about(rule: Rule, example: Example) -> Example:
        shared = _having((rule.outcome, *(name.partition(".")[0] for name, _ in example.expect)), names, some)
        return replace(example, given={kind: shared[0], **example.given}) if shared else example

    of_rooms = {rule.rule_id: rule for rule in rules if rule.of == ROOM}
    return {
        name: tuple(about(of_rooms[name], example) for example in those) if name in of_rooms else those for name, those in examples.items()
    }


def _only_some(places: Places) -> dict[str, set[str]]:
    """By outcome, the places that have it, where others lack it."""
    having: dict[str, set[str]] = {}
    for name, place in places.kinds.items():
        for outcome in place.outcomes:
            having.setdefault(outcome, set()).add(name)
    return {outcome: names for outcome, names in having.items() if len(names) < len(places.kinds)}


def _within(rule: Rule, places: Sequence[str], some: Mapping[str, Set[str]], kind: str) -> Rule:
    reach = _having((rule.outcome,), places, some)
    if not reach or rule.polarity not in _RESTRICTED:
        return rule
    return replace(rule, when=All((Test(kind, "is", tuple(sorted(reach))), rule.when)))


def _having(outcomes: Iterable[str], places: Sequence[str], some: Mapping[str, Set[str]]) -> tuple[str, ...]:
    """The places that have all those of these outcomes that only some places have; none where there is no such outcome.

    `some`: by such an outcome, the places that have it.
    """
    having = [some[outcome] for outcome in dict.fromkeys(outcomes) if outcome in some]
    return tuple(name for name in places if all(name in names for names in having)) if having else ()


def check_rows(places: Places, outcomes: Mapping[str, Outcome], advice: Mapping[str, Advice], table: Place) -> None:
    """Refuses a table of acts without a row for something that a place comes to, and an act with words that a place cannot fill.

    `table`: its place in the file. Raises: UnreadableRules.
    """
    for row in places.rows:
        if wrong := next((name for name in _named(advice[row.act]) if name not in _FILLS), ""):
            raise refused(row.place, f"act `{row.act}` says `{{{wrong}}}`, which no place fills; it can say {listed(_FILLS)} in braces")
    for name, place in places.kinds.items():
        first = {duty.outcome for inspected in (False, True) for duty in _duties(place, inspected)[:1]}
        shown = {*_shown(place, False), *_shown(place, True)}
        about = [row for row in places.rows if first & row.levels.keys() and row.levels.keys() <= shown]
        wanting = {row.act: lacking for row in about if (lacking := next(_cannot_fill(advice[row.act], place), ""))}
        for inspected in (False, True):
            names = _shown(place, inspected)
            rows = [row for row in about if row.levels.keys() <= {*names}]
            _Covering(name, names, _ladders(place, inspected, outcomes), wanting, table).look((), rows)


class _Covering(Struct, frozen=True):
    """Whether rows cover all that a place can come to. `names`: of its outcomes, `ladders`: what each can be, in their order.

    `wanting`: by act, what its words name and the place does not have. `table`: the place of the rows in the file.
    """

    kind: str
    names: Sequence[str]
    ladders: Sequence[Sequence[str]]
    wanting: Mapping[str, str]
    table: Place

    def look(self, levels: tuple[str, ...], rows: Sequence[RoomRow]) -> None:
        """Looks at all that begins with these levels, outcome by outcome; `rows`: those that fit them so far. Raises: UnreadableRules."""
        at = len(levels)
        if at == len(self.names):
            self._demand_one(levels, rows)
            return
        # A row that fits whatever else comes covers all of it: of 100,000 combinations of a pack 3,000 are looked at.
        if any(levels) and not any(row.act in self.wanting for row in rows) and any(self._covers(row, at) for row in rows):
            return
        name, leads = self.names[at], not any(levels)
        for level in self.ladders[at]:
            lead = [row for row in rows if name in row.levels] if leads and level else rows
            self.look((*levels, level), [row for row in lead if name not in row.levels or level in row.levels[name]])

    def _covers(self, row: RoomRow, at: int) -> bool:
        return not row.firm and not row.once and row.levels.keys().isdisjoint(self.names[at:])

    def _demand_one(self, levels: Sequence[str], rows: Iterable[RoomRow]) -> None:
        for row in rows:
            if row.act in self.wanting:
                detail = f"act `{row.act}` says `{{{self.wanting[row.act]}}}`, and no duty of `{self.kind}` has any"
                raise refused(row.place, detail)
            if not row.firm and not row.once:
                return
        told = ", ".join(f"{outcome} `{level}`" for outcome, level in zip(self.names, levels, strict=True) if level)
        raise refused(self.table, f"`joined_rooms` lacks a row without `firm` and `once` for `{self.kind}` with {told}")


def _ladders(place: PlaceDeclared, inspected: bool, outcomes: Mapping[str, Outcome]) -> list[tuple[str, ...]]:
    """The levels of each outcome that is shown of a place; empty, too, of what was not called for or not described."""
    sure = [duty.outcome for duty in _duties(place, inspected) if not duty.where]
    return [(*outcomes[name].levels, *([] if name in sure else [""])) for name in _shown(place, inspected)]


def _duties(place: PlaceDeclared, inspected: bool) -> list[Duty]:
    """Those of a place that are judged so."""
    return [duty for duty in place.duties if duty.inspected or not inspected]


def _shown(place: PlaceDeclared, inspected: bool) -> list[str]:
    """The outcomes that are shown of a place: its duties, then what was found of them."""
    return [*(duty.outcome for duty in _duties(place, inspected)), *(duty.found for duty in place.duties if duty.found)]


def _named(advice: Advice) -> list[str]:
    """What the words of an act are filled with, each once."""
    return list(dict.fromkeys(name for line in (advice.line, *advice.tests) for name in _FILLED.findall(line)))


def _cannot_fill(advice: Advice, place: PlaceDeclared) -> Iterator[str]:
    """What the words of an act name and the place does not have."""
    named = _named(advice)
    if "reading" in named and not place.limit:
        yield "reading"
    if "once" in named and place.freed is None:
        yield "once"
