"""Rules about places reach only the places that have what they decide, and the table of acts has a row for whatever these come to."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import product

from bondwright.rulebook.condition import All, Test
from bondwright.rulebook.declared.places import ROOM, Duty, PlaceDeclared, Places
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
    return tuple(_within(rule, places, kind) if rule.of == ROOM else rule for rule in rules)


def _within(rule: Rule, places: Places, kind: str) -> Rule:
    reach = _having((rule.outcome,), places)
    examples = tuple(
        replace(example, given={kind: shared[0], **example.given})
        if (shared := _having((rule.outcome, *(name.partition(".")[0] for name, _ in example.expect)), places))
        else example
        for example in rule.examples
    )
    if not reach or rule.polarity not in _RESTRICTED:
        return replace(rule, examples=examples)
    return replace(rule, when=All((Test(kind, "is", tuple(sorted(reach))), rule.when)), examples=examples)


def _having(outcomes: Iterable[str], places: Places) -> tuple[str, ...]:
    """The places that have all those of these outcomes that some places have and others lack; none where there is no such outcome."""
    having = [{name for name, place in places.kinds.items() if outcome in place.outcomes} for outcome in dict.fromkeys(outcomes)]
    some = [names for names in having if names and len(names) < len(places.kinds)]
    return tuple(name for name in places.kinds if all(name in names for names in some)) if some else ()


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
            for levels in _come_to(place, inspected, outcomes):
                for row in about:
                    if not row.fits(levels, row.firm, row.once or None):
                        continue
                    if wanting[row.act]:
                        raise refused(row.place, f"act `{row.act}` says `{{{wanting[row.act]}}}`, and no duty of `{name}` has any")
                    if not row.firm and not row.once:
                        break
                else:
                    told = ", ".join(f"{outcome} `{level}`" for outcome, level in levels.items())
                    raise refused(table, f"`joined_rooms` lacks a row without `firm` and `once` for `{name}` with {told}")


def _come_to(place: PlaceDeclared, inspected: bool, outcomes: Mapping[str, Outcome]) -> Iterator[dict[str, str]]:
    """What the duties of a place come to, with what was found of them; none found where nothing was called for or described."""
    shown = _shown(place, inspected)
    sure = [duty.outcome for duty in _duties(place, inspected) if not duty.where]
    ladders = [(*outcomes[name].levels, *([] if name in sure else [""])) for name in shown]
    for levels in product(*ladders):
        yield {name: level for name, level in zip(shown, levels, strict=True) if level}


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
