"""Whether a measured continuity is that of the bond it was taken on."""

from typing import Literal, TypeAlias

from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.ranges import Range, require_not_negative, require_rising

Continuity: TypeAlias = Literal["lower_than_possible", "as_expected", "higher_than_expected"]
"""What a continuity reading says of the bond.

"lower_than_possible": no bond of that size and length reads so low; something else conducts beside it, or instead of it.
"as_expected": the reading could be that of a sound bond; it does not prove that nothing conducts beside it.
"higher_than_expected": a joint is loose or corroded, or this is not the conductor it is taken for.
"""


def judge_continuity(measured_ohm: float, expected_ohm: Range, relative_uncertainty: float, fixed_ohm: float) -> Continuity:
    """What the reading says of a bond whose resistance should lie between the bounds of `expected_ohm`.

    Inputs: none below 0; `relative_uncertainty` is a share of the reading, `fixed_ohm` what may be added or missing besides.
    The bounds come from `conductors.conductor_resistance_between`, so that a length or temperature that is only guessed
    does not pass for a fault. A reading is told from the bounds only where the instrument can tell it.
    Raises: OutOfRange, also if the bounds fall.

    >>> judge_continuity(0.30, (0.020, 0.030), 0.1, 0.02)
    'higher_than_expected'
    """
    require_not_negative(least_expected_ohm=expected_ohm[0], greatest_expected_ohm=expected_ohm[1])
    require_rising(expected_ohm=expected_ohm)
    lowest, highest = true_value_between(measured_ohm, relative_uncertainty, fixed_ohm)
    if highest < expected_ohm[0]:
        return "lower_than_possible"
    return "higher_than_expected" if lowest > expected_ohm[1] else "as_expected"
