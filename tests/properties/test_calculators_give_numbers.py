"""Whatever goes into a calculator, a finite number that is not negative comes out, or the input is refused."""

import inspect
import math
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bondwright.calculators import (
    adiabatic,
    body,
    conductors,
    continuity,
    disconnection,
    effectiveness,
    instruments,
    isolation,
    pipes,
    water,
)
from bondwright.calculators.adiabatic import Metal, heating_constant, least_size
from bondwright.calculators.body import body_current, body_impedance, longest_time
from bondwright.calculators.ranges import OutOfRange

wild = st.one_of(
    st.floats(0.1, 100),
    st.floats(-320, 308).map(lambda exponent: 10.0**exponent),
    st.floats(),
    st.sampled_from([0.0, 5e-324, 1.7e308, math.inf, math.nan]),
)

Answer = float | str | tuple[float, float]

ANY_NUMBERS: dict[str, tuple[int, Callable[..., Answer]]] = {
    "conductor_resistance": (5, conductors.conductor_resistance),
    "conductor_resistance_between": (
        8,
        lambda a, b, c, d, e, f, g, h: conductors.conductor_resistance_between((a, b), (c, d), (e, f), g, h),
    ),
    "greatest_length": (5, conductors.greatest_length),
    "tabulated_resistance": (3, lambda size, made, ohm: conductors.tabulated_resistance(size, {made: ohm})),
    "copper_equivalent": (5, lambda size, a, b, c, d: conductors.copper_equivalent(size, {a: b}, {c: d})),
    "imperial_area": (2, conductors.imperial_area),
    "area_of_imperial": (2, lambda strands, part: conductors.area_of_imperial(f"{strands:g}/.{part:g}")),
    "stocked_size": (3, lambda size, *made: conductors.stocked_size(size, made)),
    "true_value_between": (3, instruments.true_value_between),
    "judge_continuity": (6, lambda a, b, c, d, e, f: continuity.judge_continuity(a, (b, c), d, e, f)),
    "isolation_limit": (3, isolation.isolation_limit),
    "judge_isolation": (4, isolation.judge_isolation),
    "operating_current": (2, effectiveness.operating_current),
    "resistance_limit": (2, effectiveness.resistance_limit),
    "column_resistance": (3, water.column_resistance),
    "column_resistance_between": (6, lambda a, b, c, d, e, f: water.column_resistance_between((a, b), (c, d), (e, f))),
    "least_length": (3, water.least_length),
    "column_current": (4, water.column_current),
    "conductivity_at": (4, water.conductivity_at),
    "growth_at": (5, lambda at, a, b, c, d: water.growth_at(at, {a: b, c: d})),
    "greatest_conductivity_at": (
        9,
        lambda at, read, read_at, a, b, c, d, e, f: water.greatest_conductivity_at(at, read, read_at, {a: b, c: d}, {a: e, c: f}),
    ),
    "tube_area": (2, pipes.tube_area),
    "tube_resistance_per_metre": (3, pipes.tube_resistance_per_metre),
    "tube_copper_equivalent": (4, pipes.tube_copper_equivalent),
    "heating_constant": (6, lambda a, b, c, d, e, f: heating_constant(Metal(a, b, c, d), e, f)),
    "least_size": (4, least_size),
    "body_impedance": (5, lambda volt, a, b, c, d: body_impedance(volt, 5, {a: {5: b}, c: {5: d}})),
    "body_current": (5, lambda volt, a, b, c, d: body_current(volt, 5, {a: {5: b}, volt: {5: b}}, c, d)),
    "longest_time": (5, lambda volt, a, b, c, d: longest_time(volt, {a: b, c: d})),
    "fault_current": (2, disconnection.fault_current),
    "greatest_loop_impedance": (3, disconnection.greatest_loop_impedance),
    "electrode_limit": (2, disconnection.electrode_limit),
    "tabulated_current": (4, lambda rated, a, b, c: disconnection.tabulated_current(rated, {a: b, rated: c})),
}


def numbers(answer: Answer) -> Iterator[float]:
    """The numbers of an answer; a judgement in words has none."""
    if isinstance(answer, tuple):
        yield from answer
    elif not isinstance(answer, str):
        yield answer


@pytest.mark.parametrize("name", ANY_NUMBERS)
@given(st.data())
@settings(max_examples=300)
def test_whatever_goes_in_a_finite_number_comes_out_or_the_input_is_refused(name: str, data: st.DataObject) -> None:
    count, calculate = ANY_NUMBERS[name]
    inputs = data.draw(st.tuples(*[wild] * count))

    try:
        answer = calculate(*inputs)
    except OutOfRange:
        return

    assert all(math.isfinite(number) and number >= 0 for number in numbers(answer))


def test_no_calculator_is_left_out() -> None:
    modules = (adiabatic, body, conductors, continuity, disconnection, effectiveness, instruments, isolation, pipes, water)
    public = {
        name
        for module in modules
        for name, made in vars(module).items()
        if inspect.isfunction(made) and made.__module__ == module.__name__ and not name.startswith("_")
    }

    assert public == set(ANY_NUMBERS)


def test_a_calculation_that_lets_an_infinite_number_through_is_found() -> None:
    careless = effectiveness.resistance_limit(50, 0.03) / 5e-324

    assert not all(math.isfinite(number) for number in numbers(careless))
