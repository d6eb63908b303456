"""Touch voltages against a table worked by two other solvers, and against what is printed about them.

The table is for 230 V, 0.20 ohm of line and 0.15 ohm of return outside, R1 0.30 ohm, R2 0.46 ohm, all resistance, star
point at true earth. ngspice and gnucap computed it from netlists, apart from this code, and agreed with each other.
The textbook is "Electrical Safety of Low-Voltage Systems", pages read in a public copy.
"""

import pytest

from bondwright.calculators.networks.earth_fault import (
    CASE,
    EARTH,
    TERMINAL,
    Circuit,
    EarthFault,
    FaultVoltages,
    Part,
    SupplementaryBond,
    Supply,
    fault_voltages,
)

TN = Supply(230, source_ohm=0, line_ohm=0.20, return_ohm=0.15, source_electrode_ohm=0)
TT = Supply(230, source_ohm=0, line_ohm=0.20, return_ohm=None, source_electrode_ohm=10)
CIRCUIT = Circuit(r1_ohm=0.30, r2_ohm=0.46, fault_ohm=0)
BONDED = Part("pipe", to_earth_ohm=20, main_bond_ohm=0.02)


def tn_fault(*parts: Part, bonds: tuple[SupplementaryBond, ...] = ()) -> FaultVoltages:
    return fault_voltages(EarthFault(TN, CIRCUIT, None, parts, bonds))


def tt_fault(part: Part) -> FaultVoltages:
    return fault_voltages(EarthFault(TT, CIRCUIT, 100, (part,)))


def test_fault_current_is_the_worked_one() -> None:
    assert tn_fault().fault_current_a == pytest.approx(207.2, abs=0.05)


def test_case_to_an_earthy_pipe_without_bonding_is_the_worked_voltage() -> None:
    assert tn_fault(Part("pipe", 20, None)).between(CASE, "pipe") == pytest.approx(126.40, abs=0.005)


def test_case_to_pipe_with_a_main_bond_is_the_worked_voltage() -> None:
    assert tn_fault(BONDED).between(CASE, "pipe") == pytest.approx(95.44, abs=0.005)


def test_case_to_pipe_with_a_supplementary_bond_too_is_the_worked_voltage() -> None:
    found = tn_fault(BONDED, bonds=(SupplementaryBond(CASE, "pipe", 0.05),))

    assert found.between(CASE, "pipe") == pytest.approx(14.08, abs=0.005)
    assert found.between(CASE, EARTH) == pytest.approx(67.88, abs=0.005)
    assert found.between("pipe", EARTH) == pytest.approx(53.81, abs=0.005)


def test_tt_without_a_bond_is_the_worked_voltage_at_a_current_no_fuse_would_see() -> None:
    found = tt_fault(Part("pipe", 1, None))

    assert found.between(CASE, "pipe") == pytest.approx(208.2, abs=0.05)
    assert found.fault_current_a == pytest.approx(2.07, abs=0.005)


def test_tt_with_a_bond_is_the_worked_voltage_though_both_stand_far_above_true_earth() -> None:
    found = tt_fault(BONDED)

    assert found.between(CASE, "pipe") == pytest.approx(3.97, abs=0.005)
    assert found.between(CASE, EARTH) == pytest.approx(143, abs=1)
    assert found.between(TERMINAL, EARTH) == pytest.approx(139, abs=0.5)
    assert found.between("pipe", EARTH) == pytest.approx(139, abs=0.5)


@pytest.mark.parametrize(("line_by_return", "share"), [(1, 1 / 2), (0.5, 2 / 3)])
def test_touch_voltage_is_the_printed_share_of_the_supply_wherever_the_fault_is(line_by_return: float, share: float) -> None:
    """Textbook page 121: half for conductors of one size, two thirds for a protective conductor of half the size."""
    shares = [
        fault_voltages(EarthFault(Supply(1, 0, 0, 0, 0), Circuit(at * line_by_return, at, 0), None)).between(CASE, EARTH)
        for at in (0.01, 0.1, 1)
    ]

    assert shares == pytest.approx([share] * 3)


def test_touch_voltage_close_to_the_source_is_next_to_nothing() -> None:
    """Textbook page 121: the winding takes up nearly all the voltage."""
    found = fault_voltages(EarthFault(Supply(230, 0.02, 0, 0, 0), Circuit(1e-5, 1e-5, 0), None))

    assert found.between(CASE, EARTH) < 0.5


@pytest.mark.parametrize(("source_electrode_ohm", "ground_ohm", "printed_v"), [(1, 3.6, 50), (2, 7.2, 50), (5, 110, 10)])
def test_a_line_fallen_to_the_ground_lifts_all_that_the_pen_is_joined_to(
    source_electrode_ohm: float, ground_ohm: float, printed_v: float
) -> None:
    """Textbook page 147 prints U0 R_N / (R_E + R_N), and 50 V as its limit; the rows are that formula by hand."""
    supply = Supply(230, 0, 0, 0.15, source_electrode_ohm)
    fallen = EarthFault(supply, Circuit(0, None, 0), None, (Part("pipe", None, 0.02),), (SupplementaryBond(CASE, EARTH, ground_ohm),))

    found = fault_voltages(fallen)

    assert found.between(TERMINAL, EARTH) == pytest.approx(printed_v)
    assert found.between("pipe", EARTH) == pytest.approx(printed_v)


def test_bonded_pipe_leaves_fault_current_times_r2_to_be_touched() -> None:
    """Stated in a trade article (Voltimum, "equipotential bonding"): Uf = If R2. The bond carries next to nothing."""
    found = tn_fault(BONDED)

    assert found.between(CASE, "pipe") == pytest.approx(found.fault_current_a * 0.46, rel=5e-4)


def test_without_a_bond_the_whole_return_can_be_touched() -> None:
    """The same article: up to If times R2 and the return outside."""
    found = tn_fault(Part("pipe", 20, None))

    assert found.between(CASE, "pipe") == pytest.approx(found.fault_current_a * (0.46 + 0.15))


def test_a_case_that_lost_its_protective_conductor_stands_at_the_full_voltage() -> None:
    found = fault_voltages(EarthFault(TN, Circuit(0.3, None, 0), None, (Part("pipe", 20, 0.02),)))

    assert found.between(CASE, "pipe") == pytest.approx(230)
    assert found.fault_current_a == 0


def test_sound_equipment_on_the_same_terminal_is_as_far_from_the_faulty_case_as_the_terminal_is() -> None:
    found = tn_fault(Part("sound case", None, 0.5))

    assert found.between(CASE, "sound case") == pytest.approx(found.between(CASE, TERMINAL))
