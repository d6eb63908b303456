"""Earth-fault current against power-grid-model, a solver of distribution networks in symmetrical components.

A loop of line and return stands there as a line of resistance R_line in the positive sequence and R_line + 3 R_return in
the zero sequence, behind a stiff source; the solver scales its voltage by 1.1, which we are handed with the voltage.
"""

import random

import pytest
from power_grid_model import (
    ComponentType,
    DatasetType,
    FaultPhase,
    FaultType,
    PowerGridModel,
    ShortCircuitVoltageScaling,
    initialize_array,
)
from tests.calculations.worked import result, worked

from bondwright.calculators.networks.earth_fault import Circuit, EarthFault, Supply, fault_voltages

LINE_TO_LINE_V = 400.0
SCALE = 1.1
U0_V = SCALE * LINE_TO_LINE_V / 3**0.5
NEARLY_NO_REACTANCE_OHM = 1e-6
STIFF_VA = 1e13


def fault_current(
    line_ohm: float,
    return_ohm: float,
    fault_ohm: float,
    scaling: ShortCircuitVoltageScaling = ShortCircuitVoltageScaling.maximum,
) -> float:
    """Current of a fault from one line to earth at the end of the line, as power-grid-model has it."""
    rows: dict[ComponentType, dict[str, float]] = {
        ComponentType.line: {
            "id": 3, "from_node": 1, "to_node": 2, "from_status": 1, "to_status": 1, "r1": line_ohm, "x1": NEARLY_NO_REACTANCE_OHM,
            "c1": 0, "tan1": 0, "r0": line_ohm + 3 * return_ohm, "x0": NEARLY_NO_REACTANCE_OHM, "c0": 0, "tan0": 0, "i_n": 100,
        },
        ComponentType.source: {"id": 4, "node": 1, "status": 1, "u_ref": 1.0, "sk": STIFF_VA, "rx_ratio": 0.1, "z01_ratio": 1},
        ComponentType.fault: {
            "id": 5, "status": 1, "fault_object": 2, "fault_type": FaultType.single_phase_to_ground, "fault_phase": FaultPhase.a,
            "r_f": fault_ohm, "x_f": 0,
        },
    }  # fmt: skip
    nodes = initialize_array(DatasetType.input, ComponentType.node, 2)
    nodes["id"], nodes["u_rated"] = [1, 2], [LINE_TO_LINE_V, LINE_TO_LINE_V]
    described = {ComponentType.node: nodes}
    for component, values in rows.items():
        array = initialize_array(DatasetType.input, component, 1)
        for attribute, value in values.items():
            array[attribute] = value
        described[component] = array
    solved = PowerGridModel(described).calculate_short_circuit(short_circuit_voltage_scaling=scaling)
    return float(solved[ComponentType.fault]["i_f"][0][0])


def test_worked_current_of_the_two_solvers_is_228_86_ampere() -> None:
    ours = fault_voltages(EarthFault(Supply(U0_V, 0, 0.2, 0.15, 0), Circuit(0.3, 0.46, 0), None)).fault_current_a

    assert ours == pytest.approx(228.8596, abs=5e-5)
    assert fault_current(0.5, 0.61, 0) == pytest.approx(228.8596, abs=5e-5)


@pytest.mark.parametrize("seed", range(20))
def test_fault_current_with_a_metal_return_is_that_of_power_grid_model(seed: int) -> None:
    draw = random.Random(seed)
    source, line, back, r1, r2, fault = (draw.uniform(0.01, 2) for _ in range(6))
    described = EarthFault(Supply(U0_V, source, line, back, 0), Circuit(r1, r2, fault), None)

    ours = fault_voltages(described).fault_current_a

    assert ours == pytest.approx(fault_current(source + line + r1, r2 + back, fault), rel=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_fault_current_through_electrodes_is_that_of_power_grid_model(seed: int) -> None:
    draw = random.Random(seed)
    line, r1, r2 = (draw.uniform(0.01, 2) for _ in range(3))
    electrode, source_electrode = draw.uniform(1, 200), draw.uniform(0.5, 20)
    described = EarthFault(Supply(U0_V, 0, line, None, source_electrode), Circuit(r1, r2, 0), electrode)

    ours = fault_voltages(described).fault_current_a

    assert ours == pytest.approx(fault_current(line + r1, r2 + electrode + source_electrode, 0), rel=1e-6)


@pytest.mark.parametrize("operating_a", [24, 160, 1000])
def test_loop_at_its_limit_drives_the_operating_current_at_the_least_voltage_of_power_grid_model(operating_a: float) -> None:
    """The solver has a least voltage factor of its own for low voltage, which is 0.95 too; its line stands at 230.94 V."""
    limit = result(worked("loop-impedance-limit", operating_current_a=operating_a), "loop_impedance_limit")

    found = fault_current(limit * 0.4, limit * 0.6, 0, ShortCircuitVoltageScaling.minimum)

    assert found * 230 * 3**0.5 / LINE_TO_LINE_V == pytest.approx(operating_a, rel=1e-4)
