"""What an inspection reports under a code: a settled verdict on a level that has one, in words for the report."""

from collections.abc import Iterable, Iterator, Sequence

from bondwright.evaluate.answer import Observation, Reason, Verdict
from bondwright.evaluate.reasoning.verdicts import is_finding
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity


def observation(reporting: Iterable[Verdict], found: Sequence[Verdict], pack: RulePack) -> Observation | None:
    """The observation of the first of `reporting` by which a level with a code is acted on; none, if there is none.

    `found`: the verdicts that it is made of, if there are such; those that say that something was found are named.
    """
    for one in reporting:
        code = code_of(one.outcome, one.act_on, pack)
        if code:
            return _observed(
                code, one, [other for other in found if is_finding(pack.outcomes[other.outcome], other.act_on, other.firm)], pack
            )
    return None


def code_of(outcome: str, act_on: str, pack: RulePack) -> str:
    """The code under which an inspection reports what is acted on; empty where it gives none."""
    ladder = pack.outcomes[outcome]
    return dict(zip(ladder.levels, ladder.codes, strict=True)).get(act_on, "")


def _observed(code: str, one: Verdict, found: Sequence[Verdict], pack: RulePack) -> Observation:
    reasons = [*_raising(one, pack)]
    says = " ".join(dict.fromkeys(reason.says for reason in reasons))
    named = "; ".join(dict.fromkeys(other.words for other in found))
    clauses = [reason.clause for other in found for reason in _raising(other, pack)] + [reason.clause for reason in reasons]
    once = dict.fromkeys(clause.strip() for several in clauses for clause in several.split(";"))
    return Observation(code, f"{says} Found: {named}." if named else says, "; ".join(once))


def _raising(one: Verdict, pack: RulePack) -> Iterator[Reason]:
    """The reasons that raised a verdict to what is acted on; those for worse, what they overcame, and remarks are passed over."""
    for reason in one.because:
        rule = pack.rule(reason.rule) if pack.has_rule(reason.rule) else None
        if rule is not None and rule.polarity is Polarity.RAISES and rule.level == one.act_on:
            yield reason
