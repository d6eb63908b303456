"""Verdicts as they are answered: the level or number, how firm, why, and what would change it."""

from collections.abc import Iterable

from bondwright.compose.answer import Silent, SizeVerdict, Verdict
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
    return Verdict(
        told.outcome,
        told.act_on,
        told.worst_case,
        told.words,
        told.firm,
        told.lowest_possible,
        questions_of(ask_open(judged, name, reasoning) if asks is None else asks, reasoning),
        told.could_relax,
        told.because,
        tuple([_silent(rule, judged.row) for rule in because.waiting]),
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
