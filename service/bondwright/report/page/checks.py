"""What to ask or look at before anything is done: each question once, the one that could change most first."""

from collections.abc import Iterator

from msgspec import Struct, field

from bondwright.compose.answer import Evaluation, Question
from bondwright.report.page.acts import LEFT
from bondwright.report.page.naming import Names
from bondwright.report.page.shape import Entry
from bondwright.report.page.told import Subject, questions_of
from bondwright.rulebook.pack import NOT_JUDGED

_LEAST, _MOST_WORDS = 2, 60
MOST = 5
"""Questions that the page asks; of the others it says how many there are."""


class _Asked(Struct):
    """What one question could change: subjects by id with their names, of what it is asked, how many verdicts and things wait for it."""

    about: dict[str, str] = field(default_factory=dict)
    of: dict[str, None] = field(default_factory=dict)
    owners: dict[str, str] = field(default_factory=dict)
    verdicts: int = 0
    waiting: int = 0


def to_check(told: tuple[Subject, ...], evaluation: Evaluation, names: Names, why: str) -> tuple[Entry, ...]:
    """The questions that could change most, and the number of the others; `why`: how these are asked for."""
    asked = _asked(told, evaluation, names)
    order = sorted(asked, key=lambda ask: (-asked[ask].waiting, -asked[ask].verdicts))
    say = names.pack.say
    entries: list[Entry] = []
    words = 0
    for ask in [ask for ask in order if asked[ask].waiting][:MOST]:
        entry = Entry(_worded(ask, asked[ask], names), tuple(asked[ask].about))
        words += len(entry.text.split())
        if words <= _MOST_WORDS or len(entries) < _LEAST:
            entries.append(entry)
    left = len(asked) - len(entries)
    return (*entries, *([Entry(say("site_more_questions", count=str(left), why=why))] if left else []))


def _worded(ask: str, asked: _Asked, names: Names) -> str:
    """The question with what it is asked of and, where that is something else, what it decides."""
    at = names.listed(asked.of)
    others = [one for one in asked.about if asked.owners.get(one, one) not in asked.of]
    decides = [name for one, name in asked.about.items() if name not in asked.of] if others else []
    words = {"ask": ask, "at": at, "names": names.listed(decides)}
    if not at:
        return names.pack.say("site_check", ask=ask, names=words["names"])
    return names.pack.say("site_check_at", **words) if decides else names.pack.say("site_check_own", ask=ask, at=at)


def _asked(told: tuple[Subject, ...], evaluation: Evaluation, names: Names) -> dict[str, _Asked]:
    asked: dict[str, _Asked] = {}
    for question, subject, name, weight, owner_of_subject in _questions(told, evaluation, names):
        found = asked.setdefault(question.ask, _Asked())
        if question.pointer and (owner := names.owner(question.pointer)):
            found.of[owner] = None
        found.owners[subject] = owner_of_subject
        if subject not in found.about:
            found.waiting += weight
        found.about[subject] = name
        found.verdicts += 1
    return asked


def _questions(told: tuple[Subject, ...], evaluation: Evaluation, names: Names) -> Iterator[tuple[Question, str, str, int, str]]:
    """Each question with the id and name of what it is about, how many things wait for it, and the service, item or location of that."""
    for subject in told:
        waits = int(subject.told.mark != LEFT and subject.told.act != NOT_JUDGED)
        owner = names.owner(subject.told.pointer)
        yield from ((question, subject.id, subject.name, waits, owner) for question, _ in questions_of(subject))
    say, waiting = names.pack.say, len(evaluation.plan.connections)
    for name, size in (("site_main_bond", evaluation.main_bond_size), ("site_earthing_conductor", evaluation.earthing_conductor_size)):
        yield from (
            (question, size.outcome, say(name), max(waiting, 1) if question is size.questions[0] else 0, "") for question in size.questions
        )
    for thing in evaluation.not_judged:
        yield from ((question, thing.pointer, thing.name, 1, names.owner(thing.pointer)) for question in thing.questions)
