"""Whether two packs conclude the same from everything that can be known, as the solver sees it."""

import z3

from bondwright.proofs.findings import Finding
from bondwright.proofs.once import once_for
from bondwright.proofs.solver.asking import SECONDS, must_be_impossible
from bondwright.proofs.solver.chain import Chain, Number, Steps, chain
from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.proofs.solver.symbols import Knowledge, knowledge
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule


def same(wrong: Finding, pack: RulePack, other: RulePack, of: str, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """Nothing where both packs conclude the same of every subject of a kind; else `wrong`, with what tells them apart."""
    known, here = once_for(pack, ("solver", of), lambda: _concluded(pack, of))
    there = chain(other, of, known, beside=here)
    remarks = [_acts(here, rule) != _acts(there, rule) for rule in pack.rules if rule.of == of and rule.polarity is Polarity.REMARKS]
    return must_be_impossible(wrong, (*known.bounds, one_of([differ(here, there), *remarks])), [("they differ knowing", known)], seconds)


def _concluded(pack: RulePack, of: str) -> tuple[Knowledge, Chain]:
    known = knowledge(pack, of, "one")
    return known, chain(pack, of, known)


def differ(one: Chain, other: Chain) -> z3.BoolRef:
    """That some level to act on or some size is not the same; remarks are left aside."""
    levels = [_apart(steps, other.levels[name]) for name, steps in one.levels.items()]
    return one_of([*levels, *(_unequal(size, other.sizes[name]) for name, size in one.sizes.items() if size is not other.sizes[name])])


def _acts(concluded: Chain, rule: Rule) -> z3.BoolRef:
    return concluded.acts.get(rule.rule_id, z3.BoolVal(False))


def _apart(one: Steps, other: Steps) -> z3.BoolRef:
    return one_of([a != b for a, b in zip(one.worst_case, other.worst_case, strict=True) if not a.eq(b)])


def _unequal(one: Number, other: Number) -> z3.BoolRef:
    both = all_of([one.provided, other.provided])
    return one_of(
        [
            one.spoken != other.spoken,
            one.ends.lowest != other.ends.lowest,
            one.ends.highest != other.ends.highest,
            one.provided != other.provided,
            all_of([both, one.provisional != other.provisional]),
        ]
    )
