"""Rules about places reach only the places that have what they decide, and the table of acts has a row for whatever these come to."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import replace
from itertools import product

from bondwright.rulebook.condition import All, Test
from bondwright.rulebook.declared.places import ROOM, Duty, PlaceDeclared, Places, RoomRow
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import Advice, Outcome
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.shelf.reading.nodes import refused
from bondwright.shelf.reading.scalars import listed

_FILLED = re.compile(r"\{([^{}]*)\}")
_FILLS = ("location", "reading", "once", "duty")
"""What the words of an act for a place are filled with."""
_RESTRICTED = (Polarity.RAISES, Polarity.REMARKS)


def within_places(rules: Iterable[Rule], places: Places, kind: str) -> tuple[Rule, ...]:
    """The rules, those that raise an outcome which some places lack made to hold in the others alone; `kind`: the fact that tells the kind.

    An example that says nothing of the kind is about the first place that has what it expects.
    """
    having: dict[str, set[str]] = {}
    for name, place in places.kinds.items():
        for outcome in place.outcomes:
            having.setdefault(outcome, set()).add(name)
    some = {outcome: names for outcome, names in having.items() if len(names) < len(places.kinds)}
    return tuple(_within(rule, tuple(places.kinds), some, kind) if rule.of == ROOM else rule for rule in rules)


def _within(rule: Rule, places: Sequence[str], some: Mapping[str, Set[str]], kind: str) -> Rule:
    reach = _having((rule.outcome,), places, some)
    examples = tuple(
        replace(example, given={kind: shared[0], **example.given})
        if (shared := _having((rule.outcome, *(name.partition(".")[0] for name, _ in example.expect)), places, some))
        else example
        for example in rule.examples
    )
    if not reach or rule.polarity not in _RESTRICTED:
        return replace(rule, examples=examples)
    return replace(rule, when=All((Test(kind, "is", tuple(sorted(reach))), rule.when)), examples=examples)


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
        wanting = {row.act: next(_cannot_fill(advice[row.act], place), "") for row in about}
        for inspected in (False, True):
            names = _shown(place, inspected)
            asking = [(row, _asked_of(row, names)) for row in about if row.levels.keys() <= {*names}]
            for levels in product(*_ladders(place, inspected, outcomes)):
                leads = next(outcome for outcome, level in zip(names, levels, strict=True) if level)
                for row, asked in asking:
                    if leads not in row.levels or not all(levels[at] in fitting for at, fitting in asked):
                        continue
                    if wanting[row.act]:
                        raise refused(row.place, f"act `{row.act}` says `{{{wanting[row.act]}}}`, and no duty of `{name}` has any")
                    if not row.firm and not row.once:
                        break
                else:
                    told = ", ".join(f"{outcome} `{level}`" for outcome, level in zip(names, levels, strict=True) if level)
                    raise refused(table, f"`joined_rooms` lacks a row without `firm` and `once` for `{name}` with {told}")


def _ladders(place: PlaceDeclared, inspected: bool, outcomes: Mapping[str, Outcome]) -> list[tuple[str, ...]]:
    """The levels of each outcome that is shown of a place; empty, too, of what was not called for or not described."""
    sure = [duty.outcome for duty in _duties(place, inspected) if not duty.where]
    return [(*outcomes[name].levels, *([] if name in sure else [""])) for name in _shown(place, inspected)]


def _asked_of(row: RoomRow, names: Sequence[str]) -> list[tuple[int, frozenset[str]]]:
    """What a row asks of some outcomes: by their place among these, the levels that fit."""
    return [(names.index(outcome), frozenset(fitting)) for outcome, fitting in row.levels.items()]


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
