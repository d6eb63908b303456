"""Which missing facts could still move a verdict: only those whose answer could change something are asked."""

from collections.abc import Iterator

from bondwright.evaluate.answer import Question
from bondwright.evaluate.reasoning.ladder import Level, conclude_level, standing
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.rulebook.condition import Test, tests_in
from bondwright.rulebook.facts import NO, UNKNOWN, YES, Between, FactValue, Truth
from bondwright.rulebook.meaning import test_truth, threshold, truth
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule


def questions_for(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[Question, ...]:
    """The questions whose answers could move this outcome of this subject, once each; none for a firm one."""
    asked: list[Question] = []
    for fact in _facts_that_matter(one, outcome, pack):
        if fact in pack.outcomes:
            asked += questions_for(one, pack.outcomes[fact], pack)
        else:
            asked += behind(one, fact, pack)
    return tuple(dict.fromkeys(asked))


def evidence_for(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[Question, ...]:
    """The optional evidence that could relax this outcome, once each, in file order."""
    undecided = dict.fromkeys(test.fact for test in _evidence_tests(outcome, pack, one.of) if test_truth(test, one.facts) is Truth.UNKNOWN)
    return tuple(Question(fact, pack.facts[fact].ask, None) for fact in undecided)


def _evidence_tests(outcome: Outcome, pack: RulePack, of: str) -> tuple[Test, ...]:
    """Every test of evidence that bears on an outcome, itself or through an earlier one, once each, in file order."""

    def found() -> Iterator[Test]:
        for rule in _closure(outcome, pack, of):
            for test in tests_in(rule.when):
                if test.fact in pack.outcomes:
                    yield from _evidence_tests(pack.outcomes[test.fact], pack, of)
                elif pack.facts[test.fact].evidence:
                    yield test

    return pack.remembered(("evidence tests", of, outcome.name), lambda: tuple(dict.fromkeys(found())))


def behind(one: Subject, fact: str, pack: RulePack) -> tuple[Question, ...]:
    """The questions about the description that an unknown fact stands for; its own question where it has none."""
    return one.questions.get(fact) or (Question(fact, pack.facts[fact].ask, one.pointer or None),)


def _closure(outcome: Outcome, pack: RulePack, of: str) -> tuple[Rule, ...]:
    """The rules that bear on an outcome: those that raise or size it, and those that relax or block them."""

    def bearing() -> tuple[Rule, ...]:
        rules = pack.rules_of(outcome.stage, of)
        found = [rule for rule in rules if rule.outcome == outcome.name and rule.polarity in (Polarity.RAISES, Polarity.SIZES)]
        for rule in found:  # grows while it is walked: relaxing rules, then what blocks those
            found += [other for other in pack.against(rule) if other not in found]
        return tuple(found)

    return pack.remembered(("bearing", of, outcome.name), bearing)


def _facts_that_matter(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[str, ...]:
    return pack.remembered(("matter", outcome.name, one.row, one.acting), lambda: _found_to_matter(one, outcome, pack))


def _found_to_matter(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[str, ...]:
    rules = _closure(outcome, pack, one.of)
    undecided = dict.fromkeys(
        fact
        for rule in rules
        if truth(rule.when, one.settled) is Truth.UNKNOWN
        for test in tests_in(rule.when)
        if test_truth(test, one.settled) is Truth.UNKNOWN
        for fact in (test.fact, test.operand)
        if isinstance(fact, str) and not _is_evidence(fact, pack) and _open(one.facts[fact])
    )
    if not outcome.levels:
        read = {fact: None for rule in rules if rule.rule_id in one.acting for fact in pack.reads(rule) if _open(one.facts[fact])}
        return tuple(undecided | read)
    if len(undecided) < 2:
        return tuple(undecided)
    moving = tuple(fact for fact in undecided if fact in pack.outcomes or _moves(one, fact, outcome, pack))
    return moving or tuple(undecided)


def _moves(one: Subject, fact: str, outcome: Outcome, pack: RulePack) -> bool:
    """Whether some answer to this fact alone changes what is concluded."""
    rules = pack.rules_of(outcome.stage, one.of)
    testing = [rule for rule in rules if any(test.fact == fact for test in tests_in(rule.when))]
    evidence = frozenset(definition.name for definition in pack.facts_of(one.of) if definition.evidence)
    here = one.levels[outcome.name]

    def concluded(value: FactValue) -> Level:
        changed = standing(testing, {**one.facts, fact: value}, {**one.settled, fact: value}, evidence)
        stands = one.stands.and_also(changed)
        acting = frozenset(rule.rule_id for rule in rules if stands.known[rule.rule_id] >= threshold(rule.polarity))
        return conclude_level(outcome, pack, acting, stands)

    return any((after.worst_case, after.settled) != (here.worst_case, here.settled) for after in map(concluded, _answers(fact, pack)))


def _answers(fact: str, pack: RulePack) -> Iterator[FactValue]:
    definition = pack.facts[fact]
    match definition.kind:
        case "yes_no":
            yield from (YES, NO)
        case "choice":
            yield from definition.choices
        case "number":
            yield from (Between(definition.lowest, definition.lowest), Between(definition.highest, definition.highest))


def _is_evidence(fact: str, pack: RulePack) -> bool:
    return fact in pack.facts and pack.facts[fact].evidence


def _open(value: FactValue) -> bool:
    return value == UNKNOWN if isinstance(value, str) else not value.known
