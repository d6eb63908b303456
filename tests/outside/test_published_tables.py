"""Every cell of the tables behind bonding, in every published edition of BS 7671:2018, against what is printed of it elsewhere.

The book itself was not read. Sources, named again beside the cells: the Guide to the Wiring Regulations, 17th edition, Table E 4.6, for
Table 54.8; a trade-body pocket guide, a rules blog (page 280) and a panel builder's note for Table 54.7; a trade forum thread that
reproduces Table 54.1 and one that reproduces 544.2; four cable makers' copies of IEC 60228; Scaddan's text and forum threads for 50/Ia.
"""

from typing import Any

import pytest
from tests.core.cases import read
from tests.rules.revisions import newest_revisions

from bondwright.compose.answer import Evaluation
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

EDITIONS = [pack for pack in newest_revisions() if pack.pack_id.startswith("bs7671-2018")]
CHANNELS = {pack.pack_id: TwoChannels(pack, Kept()) for pack in EDITIONS}

every_edition = pytest.mark.parametrize("pack", EDITIONS, ids=lambda pack: pack.pack_id)


def judged(pack: RulePack, **described: Any) -> Evaluation:
    """What an edition says of a description, its work filled in."""
    work = {"kind": "inspection", "inspected_on": "2026-11-25"}
    return evaluate(read({"work": work, **described}), pack, CHANNELS[pack.pack_id].acts, CHANNELS[pack.pack_id].memory)


def test_there_are_five_editions() -> None:
    assert len(EDITIONS) == 5


@every_edition
@pytest.mark.parametrize(
    ("neutral_mm2", "bond_mm2"),
    [
        (16, 10),  # Table E 4.6: 35 mm² or less, 10 mm²
        (25, 10),  # the same row, printed for a 25 mm² neutral
        (35, 10),  # the same row, at its limit
        (35.1, 16),  # over 35 up to 50 mm², 16 mm²
        (50, 16),
        (50.1, 25),  # over 50 up to 95 mm², 25 mm²
        (70, 25),
        (95, 25),
        (95.1, 35),  # over 95 up to 150 mm², 35 mm²
        (120, 35),
        (150, 35),
        (150.1, 50),  # over 150 mm², 50 mm²
        (185, 50),
    ],
)
def test_table_54_8_by_the_copper_equivalent_neutral(pack: RulePack, neutral_mm2: float, bond_mm2: float) -> None:
    supply = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": neutral_mm2, "material": "copper"}}

    size = judged(pack, supply=supply).main_bond_size

    assert (size.firm, size.highest) == (True, bond_mm2)


@every_edition
@pytest.mark.parametrize(
    ("line_mm2", "protective_mm2"),
    [
        (1, 1),  # up to 16 mm² as large as the line conductor: pocket guide
        (1.5, 1.5),
        (2.5, 2.5),
        (4, 4),
        (6, 6),
        (10, 10),
        (16, 16),
        (25, 16),  # over 16 up to 35 mm², 16 mm²: rules blog, panel builder's note
        (35, 16),
        (50, 25),  # over 35 mm², half: rules blog, panel builder's note
        (70, 35),
        (95, 50),  # half is 47.5 mm²; 50 mm² is printed
        (120, 70),  # half is 60 mm²; the next stocked size
        (150, 95),  # half is 75 mm²; the next stocked size
        (185, 95),  # half is 92.5 mm²; the next stocked size
        (240, 120),
        (300, 150),
        (400, 240),  # half is 200 mm²; the next of the sizes listed
    ],
)
def test_table_54_7_by_the_line_conductor(pack: RulePack, line_mm2: float, protective_mm2: float) -> None:
    supply = {
        "pme_conditions": "do_not_apply",
        "line_conductor": {"size": line_mm2, "material": "copper"},
        "earthing_conductor": {"buried": "no", "runs_separately": "no"},
    }

    size = judged(pack, supply=supply).earthing_conductor_size

    assert (size.highest, size.provisional or size.highest) == (protective_mm2, protective_mm2)  # an upper bound


@every_edition
def test_the_70_mm2_that_one_page_prints_for_a_150_mm2_line_is_not_ours(pack: RulePack) -> None:
    """Half of 150 mm² is 75 mm²; the page rounds down."""
    supply = {
        "pme_conditions": "do_not_apply",
        "line_conductor": {"size": 150, "material": "copper"},
        "earthing_conductor": {"buried": "no", "runs_separately": "no"},
    }

    assert judged(pack, supply=supply).earthing_conductor_size.highest != 70


@every_edition
@pytest.mark.parametrize(
    ("corrosion", "mechanical", "least_mm2"),
    [("yes", "yes", 2.5), ("yes", "no", 16), ("no", "yes", 25), ("no", "no", 25)],  # electriciansforums 28774, copper column
)
def test_table_54_1_for_a_buried_earthing_conductor(pack: RulePack, corrosion: str, mechanical: str, least_mm2: float) -> None:
    earthing = {
        "buried": "yes",
        "protected_against_corrosion": corrosion,
        "protected_mechanically": mechanical,
        "separate_length_protected": "yes",
    }
    supply = {"pme_conditions": "do_not_apply", "line_conductor": {"size": 1, "material": "copper"}, "earthing_conductor": earthing}

    size = judged(pack, supply=supply).earthing_conductor_size

    assert (size.firm, size.highest) == (True, least_mm2)


@every_edition
@pytest.mark.parametrize(
    ("required_mm2", "bond_mm2"),
    [
        (10, 6),  # half is 5: not below 6 mm²; pocket guide 13
        (16, 10),  # half is 8, the next stocked size; pocket guide 13
        (35, 10),  # the earthing conductor required is 16 mm²
        (70, 25),  # the earthing conductor required is 35 mm², half is 17.5
        (150, 25),  # need not exceed 25 mm²; pocket guide 13
    ],
)
def test_544_1_1_off_pme_by_half_the_earthing_conductor_required(pack: RulePack, required_mm2: float, bond_mm2: float) -> None:
    """The line conductor stands for the earthing conductor that Table 54.7 requires of it."""
    supply = {
        "pme_conditions": "do_not_apply",
        "line_conductor": {"size": required_mm2, "material": "copper"},
        "earthing_conductor": {"buried": "no", "runs_separately": "no"},
    }

    size = judged(pack, supply=supply).main_bond_size

    assert (size.highest, size.provisional or size.highest) == (bond_mm2, bond_mm2)  # that conductor is an upper bound


@every_edition
@pytest.mark.parametrize(
    ("protected", "cpc_mm2", "exposed_to_exposed", "exposed_to_extraneous", "extraneous_to_extraneous"),
    [
        ("yes", 1.5, 2.5, 2.5, 2.5),  # DIYnot "Shared earth conductor" on 544.2; the 2.5 mm² floor by pocket guide 14 on 543.1.1
        ("no", 1.5, 4, 4, 4),
        ("yes", 6, 6, 4, 2.5),  # half of 6 is 3, the next stocked size
        ("no", 10, 10, 6, 4),  # half of 10 is 5, the next stocked size
    ],
)
def test_544_2_for_each_pairing(
    pack: RulePack, protected: str, cpc_mm2: float, exposed_to_exposed: float, exposed_to_extraneous: float, extraneous_to_extraneous: float
) -> None:
    circuit = {
        "measure": "automatic_disconnection",
        "disconnection_met": "yes",
        "rcd": "none",
        "cpc": cpc_mm2,
        "device": {"type": "B", "rated_a": 6},
    }
    pipe = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "nothing", "bonds": []}
    room = {
        "kind": "bath_or_shower",
        "services": [{"kind": "water", "accessible": "yes"}],
        "items": [],
        "circuits": [circuit, circuit],
        "bonding_protected": protected,
    }

    (answer,) = judged(pack, services=[pipe], locations=[room]).rooms

    sizes = {link.least_size.outcome: link.least_size.highest for link in answer.links}
    expected = (exposed_to_exposed, exposed_to_extraneous, extraneous_to_extraneous)
    assert tuple(sizes[f"{name}_size"] for name in ("exposed_to_exposed", "exposed_to_extraneous", "extraneous_to_extraneous")) == expected


@every_edition
@pytest.mark.parametrize(
    ("device", "rated_a", "limit_ohm"),
    [
        ("B", 6, 1.67),  # electriciansforums 83471
        ("B", 32, 0.31),  # 50 V over 160 A; Scaddan's multiple of five
        ("C", 16, 0.31),  # 50 V over 160 A; the multiple from memory
        ("D", 16, 0.16),  # 50 V over 320 A; the safer of two figures in use, from memory
    ],
)
def test_415_2_2_for_a_circuit_without_a_residual_current_device(pack: RulePack, device: str, rated_a: float, limit_ohm: float) -> None:
    circuit = {
        "measure": "automatic_disconnection",
        "disconnection_met": "yes",
        "rcd": "none",
        "cpc": 1.5,
        "device": {"type": device, "rated_a": rated_a},
    }
    pipe = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "nothing", "bonds": []}
    room = {
        "kind": "bath_or_shower",
        "services": [{"kind": "water", "accessible": "yes"}],
        "items": [],
        "circuits": [circuit],
        "bonding_protected": "yes",
    }

    (answer,) = judged(pack, services=[pipe], locations=[room]).rooms

    assert answer.resistance_limit is not None
    assert round(answer.resistance_limit.lowest, 2) == limit_ohm


IEC_60228_OHM_PER_KM = {
    "copper": "1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387, 70: 0.268, 95: 0.193,"
    " 120: 0.153, 150: 0.124, 185: 0.0991, 240: 0.0754, 300: 0.0601",
    "aluminium": "10: 3.08, 16: 1.91, 25: 1.20, 35: 0.868, 50: 0.641, 70: 0.443, 95: 0.320, 120: 0.253, 150: 0.206, 185: 0.164, 240: 0.125,"
    " 300: 0.100",
}
"""Maximum resistance at 20 °C, class 2 copper, class 1 and 2 aluminium: Kabelmetal Indonesia, uecables, etechnik-synergie and one more."""


@every_edition
@pytest.mark.parametrize("metal", IEC_60228_OHM_PER_KM)
def test_iec_60228_resistances(pack: RulePack, metal: str) -> None:
    printed = dict(cell.strip().split(": ") for cell in IEC_60228_OHM_PER_KM[metal].split(","))
    held = pack.references["conductor-resistance"].column(metal, "class_2")

    assert {size: cell.value for size, cell in held.items()} == {float(size): float(ohm) for size, ohm in printed.items()}
