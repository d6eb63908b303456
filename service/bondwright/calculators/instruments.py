"""What a reading says about the true value."""

from bondwright.calculators.ranges import Range, require_finite, require_not_negative


def true_value_between(measured: float, relative_uncertainty: float, fixed: float) -> Range:
    """Least and greatest true value behind a reading; never below 0.

    Inputs: none below 0. `relative_uncertainty` is a share of the reading; `fixed` is in the unit of the reading, for what
    does not grow with it: the last digit, leads not wholly nulled, contact at the probes.
    Raises: OutOfRange.

    >>> true_value_between(10, 0.25, 1)
    (6.5, 13.5)
    """
    require_not_negative(measured=measured, relative_uncertainty=relative_uncertainty, fixed=fixed)
    margin = measured * relative_uncertainty + fixed
    require_finite(highest=measured + margin)
    return max(0.0, measured - margin), measured + margin
