"""Explains what was concluded: which rules determined it, which stayed silent, what is missing, how far the sources reach."""

from collections.abc import Collection, Sequence

from bondwright.evaluate.answer import Reason, Silent, SizeVerdict, Verdict
from bondwright.evaluate.reasoning.ladder import Level, cancelled, raising_rules
from bondwright.evaluate.reasoning.questions import behind, evidence_for, open_questions, questions_for
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import Truth
from bondwright.rulebook.meaning import test_truth
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.units import rounded

CONFIDENCE = ("checked_twice", "checked_once", "secondary", "from_memory")


def verdict(one: Subject, name: str, pack: RulePack) -> Verdict:
    """The verdict on one outcome with levels."""
    outcome, level, bare = pack.outcomes[name], one.levels[name], one.bare or one
    lowest = min(level.lowest, level.worst_case, bare.levels[name].lowest)
    act_on, words = to_act_on(outcome, level)
    found = _found(one, outcome, act_on, pack)
    reasons, trust = pack.remembered(
        ("reasons", name, one.acting, level, found), lambda: _backed(_reasons(one, outcome, level.worst_case, found, pack), pack)
    )
    return Verdict(
        outcome=name,
        act_on=act_on,
        worst_case=outcome.levels[level.worst_case],
        words=words,
        firm=level.firm,
        lowest_possible=outcome.levels[lowest],
        questions=open_questions(one, name, pack),
        could_relax=evidence_for(bare, outcome, pack) if level.worst_case > lowest else (),
        because=reasons,
        did_not_act=_silent(one, outcome, pack),
        weakest_source=trust,
    )


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


def _backed(reasons: tuple[Reason, ...], pack: RulePack) -> tuple[tuple[Reason, ...], str]:
    return reasons, weakest(reasons, pack)


def size_verdict(one: Subject, name: str, pack: RulePack) -> SizeVerdict:
    """The verdict on one outcome that is a number."""
    outcome, size = pack.outcomes[name], one.sizes[name]
    firm = size.lowest == size.highest
    key = ("sizing", name, one.acting, firm)
    reasons, trust = pack.remembered(key, lambda: _backed(tuple(reason(rule, pack) for rule in _sizing(one, outcome, firm, pack)), pack))
    return SizeVerdict(
        outcome=name,
        unit=outcome.unit,
        lowest=rounded(size.lowest),
        highest=rounded(size.highest),
        provisional=size.provisional,
        firm=firm,
        questions=() if firm else questions_for(one, outcome, pack),
        because=reasons,
        weakest_source=trust,
    )


def _sizing(one: Subject, outcome: Outcome, firm: bool, pack: RulePack) -> list[Rule]:
    """The acting rules behind a number, those of the earlier numbers that it reads included."""
    kinds = (Polarity.SIZES,) if firm else (Polarity.SIZES, Polarity.PROVIDES)
    found = {
        rule.rule_id: rule
        for rule in _of(outcome, one, pack)
        if rule.polarity in kinds and rule.outcome == outcome.name and rule.rule_id in one.acting
    }
    for rule in tuple(found.values()):
        for fact in pack.reads(rule):
            if fact in pack.outcomes:
                found |= {earlier.rule_id: earlier for earlier in _sizing(one, pack.outcomes[fact], firm, pack)}
    return [*found.values(), *_remarks(one, outcome, pack)]


def reason(rule: Rule, pack: RulePack) -> Reason:
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
    rules = [pack.rule(one.rule) for one in reasons if pack.has_rule(one.rule)]
    tested = {test.fact for rule in rules for test in tests_in(rule.when)} | {fact for rule in rules for fact in pack.reads(rule)}
    behind_facts = [
        confidence for fact in tested if fact in pack.facts for name in pack.facts[fact].worked_from for confidence in _behind(name, pack)
    ]
    tables = [table.confidence for rule in rules for table in pack.tables_of(rule)]
    return max((*(one.confidence for one in reasons), *behind_facts, *tables), key=CONFIDENCE.index, default=CONFIDENCE[-1])


def _behind(name: str, pack: RulePack) -> list[str]:
    """The confidences of a named value or of the cells of a reference table."""
    if pack.has_value(name):
        return [pack.value(name).confidence]
    return [cell.confidence for _, cell in pack.table(name)]


def _found(one: Subject, outcome: Outcome, act_on: str, pack: RulePack) -> tuple[str, ...]:
    """The rules by which what is acted on was surely found."""
    raising = (rule for rule in raising_rules(outcome, pack) if rule.level == act_on)
    return tuple(rule.rule_id for rule in raising if one.stands.known[rule.rule_id] is Truth.TRUE)


def _reasons(one: Subject, outcome: Outcome, worst_case: int, found: Collection[str], pack: RulePack) -> tuple[Reason, ...]:
    """The rules that determined a level, those by which less than that was found, what they overcame, then remarks.

    The outcome's own reason, if no rule spoke.
    """

    def acts(rule: Rule) -> bool:
        return rule.rule_id in one.acting

    raising = [rule for rule in raising_rules(outcome, pack) if acts(rule)]
    standing = [rule for rule in raising if not cancelled(rule, pack, acts) and rule.level == outcome.levels[worst_case]]
    below = [rule for rule in raising if rule.rule_id in found and rule not in standing]
    overcome = [rule for rule in raising if cancelled(rule, pack, acts)]
    relaxing = [
        other for rule in overcome for other in pack.against(rule) if acts(other) and not any(acts(block) for block in pack.against(other))
    ]
    blocking = [block for rule in standing for other in pack.against(rule) if acts(other) for block in pack.against(other) if acts(block)]
    determining = {rule.rule_id: rule for rule in (*standing, *below, *relaxing, *blocking, *_remarks(one, outcome, pack))}
    spoken = tuple(reason(rule, pack) for rule in determining.values())
    return spoken if standing or relaxing else (_otherwise(outcome, pack), *spoken)


def _remarks(one: Subject, outcome: Outcome, pack: RulePack) -> list[Rule]:
    return [
        rule
        for rule in _of(outcome, one, pack)
        if rule.polarity is Polarity.REMARKS and rule.outcome == outcome.name and rule.rule_id in one.acting
    ]


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


def _silent(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[Silent, ...]:
    """Relaxing rules that would have cancelled an acting one, and what they wait for."""
    raised = [rule for rule in raising_rules(outcome, pack) if rule.rule_id in one.acting]
    found: dict[str, Silent] = {}
    for rule in raised:
        for relaxing in pack.against(rule):
            blocks = [block for block in pack.against(relaxing) if block.rule_id in one.acting]
            if relaxing.rule_id in one.acting and not blocks:
                continue
            waiting = dict.fromkeys(
                _open_facts(one, relaxing, pack) + tuple(fact for block in blocks for fact in _open_facts(one, block, pack))
            )
            if waiting or blocks:
                found.setdefault(relaxing.rule_id, Silent(relaxing.rule_id, relaxing.clause, relaxing.says, tuple(waiting)))
    return tuple(found.values())


def _open_facts(one: Subject, rule: Rule, pack: RulePack) -> tuple[str, ...]:
    undecided = (test.fact for test in tests_in(rule.when) if test_truth(test, one.facts) is Truth.UNKNOWN)
    named = ([question.fact for question in behind(one, fact)] or [fact] for fact in undecided if fact not in pack.outcomes)
    return tuple(name for names in named for name in names)


def _of(outcome: Outcome, one: Subject, pack: RulePack) -> tuple[Rule, ...]:
    return pack.rules_of(outcome.stage, one.of)
