"""Every rule can hold and changes something; every level can be reached. A rule or level of which that fails is dead text."""

from collections.abc import Iterator

import z3

from bondwright.members import replace
from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import SECONDS, must_be_possible
from bondwright.proofs.solver.chain import Chain, Steps, chain
from bondwright.proofs.solver.difference import differ
from bondwright.proofs.solver.logic import all_of
from bondwright.proofs.solver.symbols import knowledge, whole
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule


def kinds_of(pack: RulePack) -> tuple[str, ...]:
    """The kinds of subject about which there are rules, in file order."""
    return tuple(dict.fromkeys(rule.of for rule in pack.rules))


def satisfiable(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """An error for each rule whose condition holds for no fully known subject."""

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            known = knowledge(pack, of, "all")
            concluded = chain(pack, of, known)
            for rule in _about(pack, of):
                missing = Finding(
                    "satisfiable", "error", rule.origin, f"rule `{rule.rule_id}` can never hold: its tests exclude each other"
                )
                world = (*known.bounds, *whole(known), concluded.holds[rule.rule_id].surely)
                yield from must_be_possible(missing, world, seconds)

    return tuple(found())


def reachable(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """A warning for each level of each outcome on which nobody can come to act."""

    def found() -> Iterator[Finding]:
        for of in dict.fromkeys(outcome.of for outcome in pack.outcomes.values()):
            known = knowledge(pack, of, "some")
            for name, steps in chain(pack, of, known).levels.items():
                outcome = pack.outcomes[name]
                for index, level in enumerate(outcome.levels):
                    missing = Finding("reachable", "warning", outcome.place, f"no installation comes to level `{level}` of `{name}`")
                    yield from must_be_possible(missing, (*known.bounds, _exactly(steps, index)), seconds)

    return tuple(found())


def effective(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """A warning for each rule without which every outcome would be the same; remarks decide nothing and are left aside."""

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            known = knowledge(pack, of, "some")
            concluded = chain(pack, of, known)
            for rule in _about(pack, of):
                if rule.polarity is Polarity.REMARKS:
                    continue
                without = chain(dropped(pack, rule), of, known, beside=concluded)
                missing = Finding("effective", "warning", rule.origin, f"rule `{rule.rule_id}` changes nothing: other rules say as much")
                yield from must_be_possible(missing, (*known.bounds, *_full(rule, concluded), differ(concluded, without)), seconds)

    return tuple(found())


def dropped(pack: RulePack, rule: Rule) -> RulePack:
    """The pack without one of its rules."""
    return replace(pack, rules=tuple(other for other in pack.rules if other is not rule))


def _full(rule: Rule, concluded: Chain) -> tuple[z3.BoolRef, ...]:
    """Full knowledge, in which a rule must matter; a provisional size is for those who lack it."""
    return () if rule.polarity is Polarity.PROVIDES else whole(concluded.known)


def _about(pack: RulePack, of: str) -> tuple[Rule, ...]:
    return tuple(rule for rule in pack.rules if rule.of == of)


def _exactly(steps: Steps, index: int) -> z3.BoolRef:
    above = steps.worst_case[index + 1 :]
    return all_of([steps.worst_case[index], *(z3.Not(step) for step in above[:1])])
