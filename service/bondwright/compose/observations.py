"""What an inspection reports under a code: a settled verdict on a level that has one, in words for the report."""

from collections.abc import Iterable, Iterator, Sequence

from bondwright.compose.answer import Observation, Verdict
from bondwright.conclude.reasons import Reason, is_finding
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity
from bondwright.said import joined


def observation(reporting: Iterable[Verdict], found: Sequence[Verdict], pack: RulePack) -> Observation | None:
    """The observation of the first of `reporting` by which a level with a code is acted on; none, if there is none.

    `found`: the verdicts that it is made of, if there are such; those that say that something was found are named.
    """
    for reported in reporting:
        code = _code_of(reported.outcome, reported.act_on, pack)
        if code:
            return _observed(
                code,
                reported,
                [verdict for verdict in found if is_finding(pack.outcomes[verdict.outcome], verdict.act_on, verdict.firm)],
                pack,
            )
    return None


def _code_of(outcome: str, act_on: str, pack: RulePack) -> str:
    """The code under which an inspection reports what is acted on; empty where it gives none."""
    ladder = pack.outcomes[outcome]
    return dict(zip(ladder.levels, ladder.codes, strict=True)).get(act_on, "")


def _observed(code: str, reported: Verdict, found: Sequence[Verdict], pack: RulePack) -> Observation:
    reasons = [*_raising(reported, pack)]
    says = joined(" ", dict.fromkeys(reason.says for reason in reasons))
    named = joined("; ", dict.fromkeys(verdict.words for verdict in found))
    clauses = [reason.clause for verdict in found for reason in _raising(verdict, pack)] + [reason.clause for reason in reasons]
    once = dict.fromkeys(clause.strip() for of_reason in clauses for clause in of_reason.split(";"))
    return Observation(code, pack.say("observation_found", says=says, found=named) if named else says, "; ".join(once))


def _raising(reported: Verdict, pack: RulePack) -> Iterator[Reason]:
    """The reasons that raised a verdict to what is acted on; those for worse, what they overcame, and remarks are passed over."""
    for reason in reported.because:
        rule = pack.rule(reason.rule) if pack.has_rule(reason.rule) else None
        if rule is not None and rule.polarity is Polarity.RAISES and rule.level == reported.act_on:
            yield reason
