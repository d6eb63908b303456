"""The laws of caution: knowing less never makes an answer less cautious, and firm means firm."""

from collections.abc import Callable, Iterator

import z3

from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import SECONDS, must_be_impossible
from bondwright.proofs.solver.chain import Chain, Number, Steps, chain
from bondwright.proofs.solver.living import kinds_of
from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.proofs.solver.symbols import Knowledge, alike, knowledge, no_less
from bondwright.rulebook.facts import Truth
from bondwright.rulebook.meaning import threshold
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity

LESSER, FULLER = "knowing less", "knowing more"


def caution(pack: RulePack, seconds: float = SECONDS, least: Callable[[Polarity], Truth] = threshold) -> tuple[Finding, ...]:
    """An error for each outcome that is more cautious for somebody who knows more: its worst case, or the cautious end of a size.

    `least`: from which truth a rule acts; another than the rule book's shows that the law can be broken.
    """

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            lesser, fuller = (chain(pack, of, knowledge(pack, of, who), least) for who in ("lesser", "fuller"))
            world = _world(lesser, fuller)
            for name, steps in lesser.levels.items():
                yield from _refuted(pack.outcomes[name], (*world, _higher(fuller.levels[name], steps)), lesser, fuller, seconds)
            for name, size in lesser.sizes.items():
                yield from _refuted(
                    pack.outcomes[name], (*world, _further(pack.outcomes[name], fuller.sizes[name], size)), lesser, fuller, seconds
                )

    return tuple(found())


def firm(pack: RulePack, seconds: float = SECONDS, least: Callable[[Polarity], Truth] = threshold) -> tuple[Finding, ...]:
    """An error for each level that is called firm and that a fact moves all the same, evidence that nobody must bring left as it is.

    `least`: as for `caution`.
    """

    def found() -> Iterator[Finding]:
        for of in kinds_of(pack):
            lesser, fuller = (chain(pack, of, knowledge(pack, of, who), least) for who in ("lesser", "fuller"))
            evidence = [fact.name for fact in pack.facts_of(of) if fact.evidence]
            world = (*_world(lesser, fuller), *alike(lesser.known, fuller.known, evidence))
            for name, steps in lesser.levels.items():
                outcome = pack.outcomes[name]
                wrong = Finding("firm", "error", outcome.place, f"`{name}` is called firm, and another fact still moves it")
                moved = one_of([a != b for a, b in zip(steps.worst_case, fuller.levels[name].worst_case, strict=True)])
                yield from must_be_impossible(wrong, (*world, _firm(steps), moved), _both(lesser, fuller), seconds)

    return tuple(found())


def _world(lesser: Chain, fuller: Chain) -> tuple[z3.BoolRef, ...]:
    return (*lesser.known.bounds, *fuller.known.bounds, *no_less(fuller.known, lesser.known))


def _refuted(outcome: Outcome, world: tuple[z3.BoolRef, ...], lesser: Chain, fuller: Chain, seconds: float) -> tuple[Finding, ...]:
    wrong = Finding("caution", "error", outcome.place, f"`{outcome.name}` is less cautious for somebody who knows less")
    return must_be_impossible(wrong, world, _both(lesser, fuller), seconds)


def _both(lesser: Chain, fuller: Chain) -> tuple[tuple[str, Knowledge], ...]:
    return ((LESSER, lesser.known), (FULLER, fuller.known))


def _higher(one: Steps, other: Steps) -> z3.BoolRef:
    return one_of([all_of([a, z3.Not(b)]) for a, b in zip(one.worst_case, other.worst_case, strict=True)])


def _further(outcome: Outcome, one: Number, other: Number) -> z3.BoolRef:
    return one.ends.highest > other.ends.highest if outcome.cautious == "larger" else one.ends.lowest < other.ends.lowest


def _firm(steps: Steps) -> z3.BoolRef:
    return all_of([z3.Implies(a, b) for a, b in zip(steps.worst_case, steps.certain, strict=True)])
