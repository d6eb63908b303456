"""Rows of the form, and what the report says besides the codes."""

from collections.abc import Iterator, Sequence

from bondwright.compose.answer import Evaluation, PartAnswer, RoomAnswer, Verdict
from bondwright.installation.description import InspectedWork
from bondwright.report.page.acts import DO, TO_STAY_APART
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Entry
from bondwright.report.page.supplied import premises_aside, size_here
from bondwright.report.page.told import Subject
from bondwright.rulebook.pack import NOT_JUDGED


def recorded(told: tuple[Subject, ...], evaluation: Evaluation, names: Names) -> tuple[Entry, ...]:
    """The rows for earthing and bonding; of an inspection what is not verified, and that codes stand above."""
    say = names.pack.say
    if premises_aside(evaluation):
        return ()
    size = size_here(evaluation.main_bond_size, say)
    earthing = evaluation.earthing_conductor_size
    known = say("site_record_earthing", size=size_here(earthing, say)) if earthing.firm else say("site_record_earthing_open")
    rows = [Entry(known, blanks=("",))]
    apart = {one.id for one in told if one.told.mark in TO_STAY_APART}
    if bonded := tuple(one for one in evaluation.plan.bonded if one not in apart):
        rows.append(_row("site_record_bonded", bonded, names))
    to_connect = {one.part for one in evaluation.plan.connections}
    surely = tuple(one.id for one in told if one.id in to_connect and one.told.mark == DO)
    perhaps = tuple(one.id for one in told if one.id in to_connect and one.told.mark != DO)
    if isinstance(names.installation.work, InspectedWork):
        rows += [_row("site_record_to_look", perhaps, names)] if perhaps else []
    else:
        rows += [_row("site_record_to_bond", surely, names, size=size)] if surely else []
        rows += [_row("site_record_if_needed", perhaps, names, size=size)] if perhaps else []
    return (*rows, *_findings(told, names))


def _row(code: str, ids: tuple[str, ...], names: Names, **filled: str) -> Entry:
    return Entry(names.pack.say(code, names=names.listed(names.of(one) for one in ids), **filled), ids, blanks=("",))


def _findings(told: tuple[Subject, ...], names: Names) -> list[Entry]:
    """What is found of like things and has no code, by its words."""
    by_words: dict[tuple[str, ...], list[Subject]] = {}
    for subject in told:
        if subject.told.act == NOT_JUDGED or not isinstance(subject.told, PartAnswer | RoomAnswer):
            continue
        if words := tuple(_uncoded(subject, subject.told.findings, names)):
            by_words.setdefault(words, []).append(subject)
    say = names.pack.say
    return [
        Entry(say("site_record_found", names=names.listed(one.name for one in some), words="; ".join(words)), tuple(one.id for one in some))
        for words, some in by_words.items()
    ]


def _uncoded(subject: Subject, findings: Sequence[Verdict], names: Names) -> Iterator[str]:
    """The words of the findings of a thing without a code, each once, those that say that nothing was found left out."""
    if subject.observations:
        return
    for found in dict.fromkeys(findings):
        outcome = names.pack.outcomes.get(found.outcome)
        lowest = outcome.levels[0] if outcome and outcome.levels else ""
        if found.act_on != lowest:
            yield found.words
