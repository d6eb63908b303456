"""Why something was concluded: the rules that determined it, those that stayed silent, and how far their sources reach."""

from collections.abc import Collection, Sequence, Set
from functools import partial

from msgspec import Struct

from bondwright.conclude.conclusion import Conclusion, Level
from bondwright.conclude.elsewhere import about_another_place
from bondwright.conclude.levels import blocked_by, cancelled, cancelled_by
from bondwright.members import Described
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import Truth
from bondwright.rulebook.meaning import test_truth
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule

CONFIDENCE = ("checked_twice", "checked_once", "secondary", "from_memory")
"""How far a source is trusted, the most trusted first."""


class Reason(Described, frozen=True):
    """A rule that determined a verdict. `file` and `line` are of the published pack, `origin` of the file that editors change.

    `other_view`: where the point is disputed, the reading that others hold; the more cautious one is acted on.
    """

    rule: str
    clause: str
    says: str
    pack_id: str
    pack_digest: str
    file: str
    line: int
    origin: str
    source: str
    kind: str
    confidence: str
    other_view: str | None = None


class Waiting(Struct, frozen=True):
    """A relaxing rule that would have changed the verdict but did not act, and the open facts that it waits for."""

    rule: Rule
    facts: tuple[str, ...]


def to_act_on(outcome: Outcome, level: Level) -> tuple[str, str]:
    """What is safe to act on without a look at anything else, and what that is called on paper."""
    name, unsettled = outcome.levels[level.worst_case], outcome.unsettled
    if level.firm or unsettled is None or name in unsettled.safe:
        return name, outcome.words[level.worst_case]
    least = min(level.lowest, level.worst_case)
    if outcome.levels[least] in unsettled.at_least:
        return outcome.levels[least], outcome.words[least]
    return unsettled.act_on, unsettled.words


def is_finding(outcome: Outcome, act_on: str, firm: bool) -> bool:
    """Whether acting on that says that something was found: a level above the first, not the word for what is not settled."""
    return act_on in outcome.levels[1:] and (firm or outcome.unsettled is None or act_on != outcome.unsettled.act_on)


def reasons_of_level(conclusion: Conclusion, outcome: Outcome, level: Level, pack: RulePack) -> tuple[Reason, ...]:
    """The rules that determined a level, those by which less than that was found, what they overcame, then remarks.

    The outcome's own reason, if no rule spoke.
    """
    acting, act_on = conclusion.acts.worst_case, to_act_on(outcome, level)[0]
    raising = [rule for rule in pack.raising(outcome) if rule.rule_id in acting]
    determining = [rule for rule in raising if not cancelled(rule, pack, acting) and rule.level == outcome.levels[level.worst_case]]
    found = [rule for rule in raising if rule.level == act_on and rule.rule_id in conclusion.acts.lowest and rule not in determining]
    relaxing = [against for rule in raising for against in cancelled_by(rule, pack, acting)]
    blocking = [
        block
        for rule in determining
        for against in pack.against(rule)
        if against.rule_id in acting
        for block in blocked_by(against, pack, acting)
    ]
    every = {rule.rule_id: rule for rule in (*determining, *found, *relaxing, *blocking, *_remarks(outcome, acting, pack))}
    spoken = tuple([_reason(rule, pack) for rule in every.values()])
    return spoken if determining or relaxing else (_otherwise(outcome, pack), *spoken)


def reasons_of_size(acting: Set[str], outcome: Outcome, firm: bool, pack: RulePack) -> tuple[Reason, ...]:
    """The acting rules behind a number, those of the earlier numbers that it reads included; `firm`: whether it is one number."""
    return tuple([_reason(rule, pack) for rule in _sizing(outcome, acting, firm, pack)])


def waiting(conclusion: Conclusion, outcome: Outcome, pack: RulePack) -> tuple[Waiting, ...]:
    """Relaxing rules that would have cancelled an acting one, and what they wait for."""
    acting = conclusion.acts.worst_case
    found: dict[str, Waiting] = {}
    for rule in pack.raising(outcome):
        for relaxing in pack.against(rule) if rule.rule_id in acting else ():
            blocks = blocked_by(relaxing, pack, acting)
            if (relaxing.rule_id in acting and not blocks) or about_another_place(relaxing, conclusion.facts, pack):
                continue
            facts = dict.fromkeys(fact for silent in (relaxing, *blocks) for fact in _open_in(conclusion, silent, pack))
            if facts or blocks:
                found.setdefault(relaxing.rule_id, Waiting(relaxing, tuple(facts)))
    return tuple(found.values())


def _reason(rule: Rule, pack: RulePack) -> Reason:
    return pack.derived(("reason", rule.rule_id), lambda: _as_reason(rule, pack))


def _as_reason(rule: Rule, pack: RulePack) -> Reason:
    """A rule as a reason, with its places and its source."""
    return Reason(
        rule=rule.rule_id,
        clause=rule.clause,
        says=rule.says,
        pack_id=pack.pack_id,
        pack_digest=pack.digest,
        file=rule.place.file,
        line=rule.place.line,
        origin=f"{rule.origin.file}:{rule.origin.line}",
        source=rule.source,
        kind=rule.kind,
        confidence=rule.confidence,
        other_view=rule.other_view or None,
    )


def weakest(reasons: Sequence[Reason], pack: RulePack) -> str:
    """The least trusted confidence on the path: of the reasons, the tables that they read and the values behind their facts."""
    return CONFIDENCE[max([pack.derived(("weakest", reason), partial(_weakest, reason, pack)) for reason in reasons], default=-1)]


def _weakest(reason: Reason, pack: RulePack) -> int:
    """The same of one reason, as its place among the confidences."""
    rests_on = [reason.confidence]
    if pack.has_rule(reason.rule):
        rule = pack.rule(reason.rule)
        for fact in {*(test.fact for test in tests_in(rule.when)), *pack.reads(rule)} & pack.facts.keys():
            rests_on += [confidence for name in pack.facts[fact].worked_from for confidence in _behind(name, pack)]
        rests_on += [table.confidence for table in pack.tables_of(rule)]
    return max(map(CONFIDENCE.index, rests_on))


def _behind(name: str, pack: RulePack) -> list[str]:
    """The confidences of a named value or of the cells of a reference table."""
    if pack.has_value(name):
        return [pack.value(name).confidence]
    return [cell.confidence for _, cell in pack.table(name)]


def _sizing(outcome: Outcome, acting: Collection[str], firm: bool, pack: RulePack) -> list[Rule]:
    kinds = (Polarity.SIZES,) if firm else (Polarity.SIZES, Polarity.PROVIDES)
    found = {
        rule.rule_id: rule
        for rule in pack.rules_of(outcome.stage, outcome.of)
        if rule.polarity in kinds and rule.outcome == outcome.name and rule.rule_id in acting
    }
    for rule in tuple(found.values()):
        for fact in pack.reads(rule):
            if fact in pack.outcomes:
                found |= {earlier.rule_id: earlier for earlier in _sizing(pack.outcomes[fact], acting, firm, pack)}
    return [*found.values(), *_remarks(outcome, acting, pack)]


def _remarks(outcome: Outcome, acting: Collection[str], pack: RulePack) -> list[Rule]:
    return [rule for rule in pack.derived(("remarks", outcome.name), lambda: _remarking(outcome, pack)) if rule.rule_id in acting]


def _remarking(outcome: Outcome, pack: RulePack) -> tuple[Rule, ...]:
    """The rules that only remark on an outcome, in file order."""
    rules = pack.rules_of(outcome.stage, outcome.of)
    return tuple(rule for rule in rules if rule.polarity is Polarity.REMARKS and rule.outcome == outcome.name)


def _otherwise(outcome: Outcome, pack: RulePack) -> Reason:
    place = f"{outcome.place.file}:{outcome.place.line}"
    return Reason(
        rule=f"{outcome.name}-otherwise",
        clause=outcome.otherwise_clause,
        says=outcome.otherwise_why,
        pack_id=pack.pack_id,
        pack_digest=pack.digest,
        file=outcome.place.file,
        line=outcome.place.line,
        origin=place,
        source=outcome.otherwise_source,
        kind=outcome.otherwise_kind,
        confidence=outcome.otherwise_confidence,
    )


def _open_in(conclusion: Conclusion, rule: Rule, pack: RulePack) -> tuple[str, ...]:
    """The facts, no earlier outcomes, in undecided tests of a rule."""
    return tuple(
        test.fact for test in tests_in(rule.when) if test.fact not in pack.outcomes and test_truth(test, conclusion.facts) is Truth.UNKNOWN
    )
