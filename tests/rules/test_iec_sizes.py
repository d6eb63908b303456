"""The sizes of the IEC pack, cell by cell against what is published of them.

Sources are named beside the figures: S60 is elektropraktiker on DIN VDE 0100-540, 544.1, and DEHN's guide, page 181; S61 the Electrical
Installation Guide (electrical-installation.org) and Mitolo's book, pages 193 and 194. Table 54.2 is as panelcraft.eu gives it.
"""

import pytest
from tests.rules.iec import bathroom, judged, line_of


@pytest.mark.parametrize(
    ("line_mm2", "protective_mm2"),
    [
        (4, 6),  # 542.3: the earthing conductor is not below 6 mm² of copper; from memory
        (10, 10),  # Table 54.2: up to 16 mm², as large as the line
        (16, 16),  # Table 54.2
        (25, 16),  # Table 54.2: from 16 to 35 mm², 16 mm²
        (35, 16),  # Table 54.2
        (50, 25),  # Table 54.2: above 35 mm², half of the line
        (95, 50),  # 47.5 mm², the next stocked size is ours
        (240, 120),  # Table 54.2
    ],
)
def test_the_earthing_conductor_follows_the_line_conductor(line_mm2: float, protective_mm2: float) -> None:
    size = judged(supply=line_of(line_mm2)).earthing_conductor_size

    assert (size.provisional or size.highest, size.highest) == (protective_mm2, protective_mm2)


@pytest.mark.parametrize(
    ("line_mm2", "bond_mm2"),
    [
        (4, 6),  # 544.1: not below 6 mm² of copper; S60
        (10, 6),  # half of 10 is 5; S61 for the half, S60 for the least
        (16, 10),  # half of 16 is 8, the next stocked size is ours; S61
        (35, 10),  # half of 16 is 8; S61
        (70, 25),  # half of 35 is 17.5; S61
        (95, 25),  # half of 47.5 is 23.75; S61
        (120, 25),  # half of 60 is 30: need not exceed 25 mm² of copper; S60, S61
        (240, 25),  # half of 120 is 60; S60, S61
    ],
)
def test_the_main_bond_is_half_the_largest_protective_conductor_within_its_limits(line_mm2: float, bond_mm2: float) -> None:
    size = judged(supply=line_of(line_mm2)).main_bond_size

    assert (size.provisional or size.highest, size.highest) == (bond_mm2, bond_mm2)


def test_a_calculation_makes_the_sizes_firm() -> None:
    worked_out = {"buried": "no", "fault_current_a": 900, "disconnection_time_s": 1.6, "k": 143}  # 900·√1.6/143 is 7.96 mm²

    answer = judged(supply={**line_of(70), "earthing_conductor": worked_out})

    sizes = [(size.firm, size.highest) for size in (answer.earthing_conductor_size, answer.main_bond_size)]
    assert sizes == [(True, 10), (True, 6)]


@pytest.mark.parametrize("least", ["6 mm² copper", "16 mm² aluminium", "50 mm² steel"])  # 544.1; S60, and Mitolo, Table 11.8
def test_the_reason_for_the_main_bond_names_the_least_size_in_each_metal(least: str) -> None:
    reasons = judged(supply=line_of(10)).main_bond_size.because

    assert any(least in reason.says for reason in reasons)


@pytest.mark.parametrize(
    ("protected", "cpc_mm2", "to_exposed", "to_extraneous", "between_extraneous"),
    [
        ("yes", 1.5, 2.5, 2.5, 2.5),  # 544.2: 2.5 mm² of copper where protected; Mitolo, pages 193 and 194
        ("no", 1.5, 4, 4, 4),  # 544.2: 4 mm² of copper where not; Mitolo, pages 193 and 194
        ("yes", 6, 6, 4, 2.5),  # 544.2: the smaller protective conductor; half of it is 3; S61
        ("no", 10, 10, 6, 4),  # 544.2: half of 10 is 5; S61
    ],
)
def test_supplementary_conductors_follow_the_protective_conductors(
    protected: str, cpc_mm2: float, to_exposed: float, to_extraneous: float, between_extraneous: float
) -> None:
    sizes = {link.least_size.outcome: link.least_size.highest for link in bathroom(rcd="none", protected=protected, cpc=cpc_mm2).links}

    assert sizes == {
        "exposed_to_exposed_size": to_exposed,
        "exposed_to_extraneous_size": to_extraneous,
        "extraneous_to_extraneous_size": between_extraneous,
    }


def test_bonded_parts_may_have_50_v_over_the_operating_current_between_them() -> None:
    limit = bathroom(rcd="none").resistance_limit  # 415.2.2, from memory; a B6 operates at 30 A

    assert limit is not None
    assert limit.firm
    assert limit.lowest == pytest.approx(50 / 30, abs=1e-4)
