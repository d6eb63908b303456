"""Whether a measured continuity is that of the bond it was taken on."""

from typing import Literal, TypeAlias

from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.ranges import Range, require_not_negative, require_rising
from bondwright.units import significant

Continuity: TypeAlias = Literal["lower_than_possible", "as_expected", "higher_than_expected", "higher_than_possible"]
"""What a continuity reading says of the bond.

"lower_than_possible": no bond of that size and length reads so low; something else conducts beside it, or instead of it.
"as_expected": the reading could be that of a sound bond; it does not prove that nothing conducts beside it.
"higher_than_expected": above what a sound bond has, though instrument, leads and contacts could account for it; it is read again.
"higher_than_possible": a joint is loose or corroded, or this is not the conductor it is taken for.
"""


def judge_continuity(
    measured_ohm: float, expected_ohm: Range, relative_uncertainty: float, fixed_ohm: float, last_digit_ohm: float | None = None
) -> Continuity:
    """What the reading says of a bond whose resistance should lie between the bounds of `expected_ohm`.

    Inputs: none below 0; `relative_uncertainty` is a share of the reading, `fixed_ohm` what may be added or missing besides.
    The bounds come from `conductors.conductor_resistance_between`, so that a length or temperature that is only guessed
    does not pass for a fault. `last_digit_ohm` is what the reading itself may lie above them and still be as expected, compared to
    ten significant digits; none: as far as the instrument cannot tell it from them, so that nothing is higher than expected.
    Raises: OutOfRange, also if the bounds fall.

    >>> judge_continuity(0.30, (0.020, 0.030), 0.1, 0.02)
    'higher_than_possible'
    >>> judge_continuity(0.05, (0.020, 0.030), 0.1, 0.02, 0.01)
    'higher_than_expected'
    """
    require_not_negative(least_expected_ohm=expected_ohm[0], greatest_expected_ohm=expected_ohm[1])
    require_rising(expected_ohm=expected_ohm)
    lowest, highest = true_value_between(measured_ohm, relative_uncertainty, fixed_ohm)
    if highest < expected_ohm[0]:
        return "lower_than_possible"
    if lowest > expected_ohm[1]:
        return "higher_than_possible"
    if last_digit_ohm is None:
        return "as_expected"
    require_not_negative(last_digit_ohm=last_digit_ohm)
    return "higher_than_expected" if significant(measured_ohm) > significant(expected_ohm[1] + last_digit_ohm) else "as_expected"
