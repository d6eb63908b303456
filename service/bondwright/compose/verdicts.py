"""Verdicts as they are answered: the level or number, how firm, why, and what would change it."""

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from bondwright.compose.answer import Question, Silent, SizeVerdict, Verdict
from bondwright.compose.questions import questions, questions_of
from bondwright.conclude.reasoning import Because, Reasoning
from bondwright.conclude.reasons import Waiting, to_act_on
from bondwright.facts.asking import ask_moving, ask_open
from bondwright.facts.row import Asked, Judged, Row
from bondwright.units import rounded


def verdict(judged: Judged, name: str, reasoning: Reasoning, asks: Iterable[Asked] | None = None) -> Verdict:
    """The verdict on one outcome with levels; `asks`: what is asked in it, where that is more than what could move this row."""
    level, without = judged.levels[name], judged.without_evidence or judged.conclusion
    key = ("verdict", name, level, judged.conclusion.alike, without.alike)
    told, because = reasoning.kept(key, lambda: _told_alike(judged, name, reasoning))
    if level.firm and not because.waiting and asks is None:  # then it asks nothing of this description
        return told
    asked = questions_of(ask_open(judged, name, reasoning) if asks is None else asks, reasoning)
    return _asking(told, asked, tuple([_silent(rule, judged.row) for rule in because.waiting]))


class _Told(Struct, frozen=True):
    """Verdicts on several outcomes of any subject that is alike and asked alike.

    `asked`: which of the questions that it is asked stand in them, by their places among these. `lists`: those of one verdict, by
    their places among `asked`. `verdicts`: each without its questions, with the place of its list and what is silent in it; none of both
    where it asks nothing.
    """

    asked: tuple[int, ...]
    lists: tuple[tuple[int, ...], ...]
    verdicts: tuple[tuple[Verdict, int | None, tuple[Silent, ...]], ...]


def verdicts(judged: Judged, names: tuple[str, ...], reasoning: Reasoning) -> tuple[Verdict, ...]:
    """The same as `verdict` for each of several outcomes.

    It is remembered which verdict asks which of the questions of the subject: that depends on what is concluded of it, on which facts
    something is asked of, and on which of these questions are one, but not on the places in the description that they are about.
    """
    places: dict[Asked, int] = {}
    put, asked, without = places.setdefault, judged.row.asked, judged.without_evidence or judged.conclusion
    behind = tuple([tuple([put(one, len(places)) for one in each]) for each in asked.values()])
    doubts = tuple([put(one, len(places)) for one in judged.doubts])
    levels = None if judged.levels is judged.conclusion.levels else tuple([judged.levels[name] for name in names])
    about = judged.row.told_of, behind, tuple([one.ask for one in places]), doubts, judged.row.answers.key
    key = ("verdicts", names, levels, judged.conclusion.alike, without.alike, about)
    told = reasoning.kept(key, lambda: _told_of_all([verdict(judged, name, reasoning) for name in names], places))
    every = tuple(places)
    asks = questions_of([every[place] for place in told.asked], reasoning)
    lists = [tuple([asks[place] for place in places]) for places in told.lists]
    return tuple([one if at is None else _asking(one, lists[at], silent) for one, at, silent in told.verdicts])


def outcomes_of(of: str, reasoning: Reasoning, but: str = "") -> tuple[str, ...]:
    """The outcomes of a kind of subject, in the order of the pack, but for one that is not told."""
    pack = reasoning.pack
    return pack.derived(
        ("outcomes of", of, but), lambda: tuple(name for name, one in pack.outcomes.items() if one.of == of and name != but)
    )


def _told_of_all(found: Sequence[Verdict], places: Mapping[Asked, int]) -> _Told:
    asked: dict[Question, int] = {}
    lists: dict[tuple[int, ...], int] = {}
    told = list[tuple[Verdict, int | None, tuple[Silent, ...]]]()
    for one in found:
        if one.questions or one.did_not_act:
            its = tuple([asked.setdefault(question, len(asked)) for question in one.questions])
            told.append((_asking(one, (), ()), lists.setdefault(its, len(lists)), one.did_not_act))
        else:
            told.append((one, None, ()))
    return _Told(tuple([places[Asked(one.fact, one.pointer)] for one in asked]), tuple(lists), tuple(told))


def _asking(told: Verdict, asked: tuple[Question, ...], silent: tuple[Silent, ...]) -> Verdict:
    """The verdict with its questions, and what is silent in it."""
    return Verdict(
        told.outcome,
        told.act_on,
        told.worst_case,
        told.words,
        told.firm,
        told.lowest_possible,
        asked,
        told.could_relax,
        told.because,
        silent,
        told.weakest_source,
    )


def _told_alike(judged: Judged, name: str, reasoning: Reasoning) -> tuple[Verdict, Because]:
    """All of a verdict that is told of every row alike, without what is asked of this one; and why."""
    pack, because = reasoning.pack, reasoning.because(judged.conclusion, name, judged.levels[name])
    outcome, level, without = pack.outcomes[name], judged.levels[name], judged.without_evidence or judged.conclusion
    lowest = min(level.lowest, level.worst_case, without.levels[name].lowest)
    act_on, words = to_act_on(outcome, level)
    evidence = reasoning.open_evidence(without, name) if level.worst_case > lowest else ()
    told = Verdict(
        outcome=name,
        act_on=act_on,
        worst_case=outcome.levels[level.worst_case],
        words=words,
        firm=level.firm,
        lowest_possible=outcome.levels[lowest],
        questions=(),
        could_relax=questions((Asked(fact, None) for fact in evidence), pack),
        because=because.reasons,
        did_not_act=(),
        weakest_source=because.weakest,
    )
    return told, because


def size_verdict(judged: Judged, name: str, reasoning: Reasoning) -> SizeVerdict:
    """The verdict on one outcome that is a number."""
    size, because = judged.sizes[name], reasoning.because_of_size(judged.conclusion, name)
    return SizeVerdict(
        outcome=name,
        unit=reasoning.pack.outcomes[name].unit,
        lowest=rounded(size.lowest),
        highest=rounded(size.highest),
        provisional=size.provisional,
        firm=size.firm,
        questions=() if size.firm else questions_of(ask_moving(judged, name, reasoning), reasoning),
        because=because.reasons,
        weakest_source=because.weakest,
    )


def _silent(waiting: Waiting, row: Row) -> Silent:
    """A rule that waits, for what is asked of the description where that is known, else for the fact itself."""
    named: dict[str, None] = {}
    for fact in waiting.facts:
        named |= dict.fromkeys([asked.ask for asked in row.asked.get(fact, ())] or [fact])
    return Silent(waiting.rule.rule_id, waiting.rule.clause, waiting.rule.says, tuple(named))
