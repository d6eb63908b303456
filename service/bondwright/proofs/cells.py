"""A finite form of what can be known: each number cut where rules and tables cut it, with one value for each piece."""

from itertools import combinations_with_replacement, pairwise

from bondwright.proofs.once import once_for
from bondwright.proofs.solver.symbols import choices_of
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue
from bondwright.rulebook.pack import RulePack


def numbers(pack: RulePack, name: str) -> tuple[float, ...]:
    """Numbers for the fact or size called `name`: every limit, one between any two, and the ends of its range."""
    return once_for(pack, ("numbers", name), lambda: _numbers(pack, name))


def _numbers(pack: RulePack, name: str) -> tuple[float, ...]:
    cuts = _limits(pack, name)
    if name in pack.facts:
        ends = {pack.facts[name].lowest, pack.facts[name].highest}
    else:
        ends = {table.rows[place].use for table in pack.tables.values() for place in (0, -1)} or {1.0}
        ends |= {min(ends | cuts) / 2, max(ends | cuts) * 2}
    points = sorted(cuts | ends)
    return tuple(sorted({*points, *((low + high) / 2 for low, high in pairwise(points))}))


def values(pack: RulePack, name: str) -> tuple[FactValue, ...]:
    """Everything that can be known of the fact or earlier outcome called `name`, nothing known included, in the finite form."""
    if name in pack.facts and pack.facts[name].kind != "number":
        return (*choices_of(pack.facts[name]), UNKNOWN)
    if name in pack.outcomes and pack.outcomes[name].levels:
        steps = range(len(pack.outcomes[name].levels))
        return tuple(Between(float(low), float(high)) for low, high in combinations_with_replacement(steps, 2))
    points = numbers(pack, name)
    return (*(Between(point, point) for point in points), nothing(pack, name))


def nothing(pack: RulePack, name: str) -> FactValue:
    """What is known of a fact or earlier outcome of which nobody said anything."""
    if name in pack.facts:
        return pack.facts[name].unknown()
    if levels := pack.outcomes[name].levels:
        return Between(0.0, float(len(levels) - 1))
    points = numbers(pack, name)
    return Between(points[0], points[-1])


def _limits(pack: RulePack, name: str) -> set[float]:
    tests = [test for rule in pack.rules for test in tests_in(rule.when) if test.operator != "is" and name in (test.fact, test.operand)]
    own = {test.operand for test in tests if isinstance(test.operand, float)}
    rows = {row.up_to for table in pack.tables.values() if table.reads == name for row in table.rows if row.up_to is not None}
    return own | rows
