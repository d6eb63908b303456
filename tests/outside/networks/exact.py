"""Judges of a solved network that share nothing with the solver: the laws themselves, and arithmetic without rounding."""

from collections.abc import Mapping
from fractions import Fraction

from bondwright.calculators.networks.linear import WORST_ERROR, Admittance, Network, Resistance, Solution, Source

ROUNDING = 1e-9
"""Share of the largest current, or of 300 V, that rounding may leave."""


def breaches(network: Network, solution: Solution) -> list[str]:
    """Each node where currents do not add up to zero, and each branch whose voltage and current break its own law."""
    faults = []
    for node in network.nodes:
        out = [solution.branch_a[branch.name] for branch in network.branches if branch.a == node]
        back = [solution.branch_a[branch.name] for branch in network.branches if branch.b == node]
        if abs(sum(out) - sum(back)) > ROUNDING * max(1, *map(abs, out + back)):
            faults.append(f"currents at {node}")
    for branch in network.branches:
        across, through = solution.voltage(branch.a, branch.b), solution.branch_a[branch.name]
        match branch:
            case Resistance(ohm=ohm):
                wrong = abs(across - ohm * through) > ROUNDING * 300
            case Admittance(siemens=siemens):
                wrong = abs(across - through / siemens) > ROUNDING * 300
            case Source(volt=volt):
                wrong = abs(across - volt) > ROUNDING * 300
        faults += [f"law of {branch.name}"] if wrong else []
    return faults


def exactly(network: Network) -> list[Fraction]:
    """Voltages of the nodes but the reference, then currents of the branches, in exact fractions: Gauss and Jordan, no rounding."""
    free = [node for node in network.nodes if node != network.reference]
    size = len(free) + len(network.branches)
    rows = [[Fraction(0)] * (size + 1) for _ in range(size)]
    for at, branch in enumerate(network.branches, start=len(free)):
        for node, sign in ((branch.a, 1), (branch.b, -1)):
            if node != network.reference:
                rows[free.index(node)][at] += sign
                rows[at][free.index(node)] += sign
        if isinstance(branch, Resistance):
            rows[at][at] = -Fraction(branch.ohm)
        elif isinstance(branch, Source):
            rows[at][size] = Fraction(branch.volt.real)
    for column in range(size):
        pivot = next(row for row in range(column, size) if rows[row][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [value / rows[column][column] for value in rows[column]]
        for row in range(size):
            if row != column and (factor := rows[row][column]):
                rows[row] = [value - factor * above for value, above in zip(rows[row], rows[column], strict=True)]
    return [row[size] for row in rows]


def near(left: Mapping[str, complex], right: Mapping[str, complex]) -> bool:
    """Whether two results are the same within what the solver promises."""
    largest = max(1.0, *(abs(value) for value in left.values()))
    return left.keys() == right.keys() and all(abs(left[name] - right[name]) <= 2 * WORST_ERROR * largest for name in left)
