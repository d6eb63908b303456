"""Whether the pack's examples notice a mistake: each mutant has to be told from the right pack by some example of the pack.

Examples are judged by what they expect, those of a dropped rule included. The score is void unless the pack itself passes
them all. A mutant that means the same as the pack for every input, as the solver shows, cannot be noticed and is not counted.
"""

from collections.abc import Mapping

from msgspec import Struct

from bondwright.conclude.conclusion import Conclusion
from bondwright.proofs.examples import Runner, all_examples, as_expected
from bondwright.proofs.findings import Finding
from bondwright.proofs.mutations import Mutant, mutants
from bondwright.proofs.solver.asking import SECONDS
from bondwright.proofs.solver.difference import same
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example, Rule


class Score(Struct, frozen=True):
    """How many mutants were made, noticed by an example, and the same as the pack in every input; what is left survived."""

    made: int
    killed: int
    same: int
    survivors: tuple[Finding, ...]


def survivors(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """An error for each mistake that no example of the pack would notice, and the score; where an example fails, that alone."""
    if failing := as_expected(pack):
        return (*failing, Finding("mutants", "error", None, "no score: not every example comes out as expected"))
    score = scored(pack, seconds)
    counts = f"{score.killed} of {score.made} mutants killed, {score.same} the same as the pack, {len(score.survivors)} survive"
    return (*score.survivors, Finding("mutants", "information", None, counts))


def scored(pack: RulePack, seconds: float = SECONDS) -> Score:
    """The score of a pack whose examples all pass."""
    examples = tuple(all_examples(pack))
    runner = Runner(pack)
    before = {id(example): runner.before(rule, example) for rule, example in examples}
    made = killed = alike = 0
    found: list[Finding] = []
    for mutant in mutants(pack):
        made += 1
        if _noticed(mutant, pack, examples, before):
            killed += 1
        elif survived := _told_apart(mutant, pack, seconds):
            found += survived
        else:
            alike += 1
    return Score(made, killed, alike, tuple(found))


def _noticed(mutant: Mutant, pack: RulePack, examples: tuple[tuple[Rule, Example], ...], before: Mapping[int, Conclusion]) -> bool:
    """Whether some example comes out otherwise: those of the rules in question first, then those of their stage, then later ones."""
    if not mutant.touches:
        return False
    runner = Runner(mutant.pack)
    stages = {(rule.stage, rule.of) for rule in mutant.touches}
    first = min(pack.stages.index(rule.stage) for rule in mutant.touches)
    kinds = {rule.of for rule in mutant.touches}

    def nearness(one: tuple[Rule, Example]) -> int:
        rule, _ = one
        return 0 if rule in mutant.touches else 1 if (rule.stage, rule.of) in stages else 2

    may_differ = [one for one in examples if one[0].of in kinds and pack.stages.index(one[0].stage) >= first]
    for rule, example in sorted(may_differ, key=nearness):
        known = before[id(example)] if pack.stages.index(rule.stage) == first else None
        if runner.fault(rule, example, known):
            return True
    return False


def _told_apart(mutant: Mutant, pack: RulePack, seconds: float) -> tuple[Finding, ...]:
    """The mutant as a finding, with an input in which it differs from the pack; nothing where there is none."""
    survived = Finding("mutants", "error", mutant.place, f"no example notices that {mutant.what}")
    kinds = dict.fromkeys(rule.of for rule in mutant.touches)
    return tuple(finding for of in kinds for finding in same(survived, pack, mutant.pack, of, seconds))
