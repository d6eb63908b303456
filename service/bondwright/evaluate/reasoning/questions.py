"""Which missing facts could still move a verdict: only those whose answer could change something are asked."""

from collections.abc import Iterable, Iterator

from bondwright.evaluate.answer import Question
from bondwright.evaluate.reasoning.moving import moving
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.metalwork.lengths import asked
from bondwright.metalwork.worlds import MOST_GAPS
from bondwright.rulebook.condition import Test, tests_in
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue, Truth
from bondwright.rulebook.meaning import test_truth, truth
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule


def questions_for(one: Subject, outcome: Outcome, pack: RulePack, level: str | Between = "") -> tuple[Question, ...]:
    """The questions whose answers could move this outcome of this subject, once each; none for a firm one.

    `level`: then only those whose answers could move whether it comes to that level, or of a size, whether it is more than that.
    """
    matter, together = _facts_that_matter(one, outcome, level, pack)
    asked_about = dict.fromkeys(question for fact in matter for question in behind(one, fact))
    if together:  # what stands behind each of them comes first: while it is open, the rest moves nothing
        common = [question for question in asked_about if all(question in behind(one, fact) for fact in matter)]
        return tuple(common or asked_about)
    return tuple(asked_about)


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


def behind(one: Subject, fact: str) -> tuple[Question, ...]:
    """The questions about the description that an unknown fact stands for; none where nothing in it is open that could tell."""
    return one.questions.get(fact, ())


def open_questions(one: Subject, name: str, pack: RulePack, level: str = "") -> tuple[Question, ...]:
    """What a verdict asks: nothing where it is firm, at most MOST_GAPS questions where it is not, nearest first.

    `level`: what it takes to know whether it comes to that level.
    """
    if one.levels[name].firm or (level and level not in pack.outcomes[name].levels):
        return ()
    return tuple(dict.fromkeys((*questions_for(one, pack.outcomes[name], pack, level), *one.doubts)))[:MOST_GAPS]


def field_question(ask: str, pointer: str, said: object, pack: RulePack) -> tuple[Question, ...]:
    """The question about one field of the description, by its name among the pack's questions or facts; none where it says something.

    None either where the pack has no such question.
    """
    text = pack.asks.get(ask) or (pack.facts[ask].ask if ask in pack.facts else "")
    return (Question(ask, text, pointer),) if text and (said is None or said == UNKNOWN) else ()


def questions_of(keys: Iterable[str | None], pack: RulePack) -> tuple[Question, ...]:
    """The questions that keys of the survey stand for, once each."""
    return tuple(question for ask, pointer in asked(keys) for question in field_question(ask, pointer, UNKNOWN, pack))


def _closure(outcome: Outcome, pack: RulePack, of: str) -> tuple[Rule, ...]:
    """The rules that bear on an outcome: those that raise or size it, and those that relax or block them."""

    def bearing() -> tuple[Rule, ...]:
        rules = pack.rules_of(outcome.stage, of)
        found = [rule for rule in rules if rule.outcome == outcome.name and rule.polarity in (Polarity.RAISES, Polarity.SIZES)]
        for rule in found:  # grows while it is walked: relaxing rules, then what blocks those
            found += [other for other in pack.against(rule) if other not in found]
        return tuple(found)

    return pack.remembered(("bearing", of, outcome.name), bearing)


def _facts_that_matter(one: Subject, outcome: Outcome, level: str | Between, pack: RulePack) -> tuple[tuple[str, ...], bool]:
    """The open facts that could move the outcome, of those about which something in the description is open, and whether only together."""
    undecided = pack.remembered(("undecided", outcome.name, one.row, one.acting), lambda: _undecided(one, outcome, pack))
    asked_about = tuple(fact for fact in undecided if behind(one, fact))
    key = ("matter", outcome.name, level, one.row, one.acting, asked_about, tuple(one.possible.items()), tuple(one.implied.items()))
    return pack.remembered(key, lambda: moving(one, asked_about, outcome, level, pack))


def _undecided(one: Subject, outcome: Outcome, pack: RulePack) -> tuple[str, ...]:
    """The open facts in undecided tests of the rules that bear on an outcome, and behind the earlier outcomes in such tests."""
    rules = _closure(outcome, pack, one.of)
    tested = dict.fromkeys(
        fact
        for rule in rules
        if truth(rule.when, one.settled) is Truth.UNKNOWN
        for test in tests_in(rule.when)
        if test_truth(test, one.settled) is Truth.UNKNOWN
        for fact in (test.fact, test.operand)
        if isinstance(fact, str) and not _is_evidence(fact, pack) and _open(one.facts[fact])
    )
    read = (fact for rule in rules if rule.rule_id in one.acting for fact in pack.reads(rule) if _open(one.facts[fact]))
    found: dict[str, None] = {}
    for fact in tested if outcome.levels else tested | dict.fromkeys(read):
        found |= dict.fromkeys(_undecided(one, pack.outcomes[fact], pack)) if fact in pack.outcomes else {fact: None}
    return tuple(found)


def _is_evidence(fact: str, pack: RulePack) -> bool:
    return fact in pack.facts and pack.facts[fact].evidence


def _open(value: FactValue) -> bool:
    return value == UNKNOWN if isinstance(value, str) else not value.known
