"""Descriptions, cut down to what matters, on which a law was once broken; tried on every run."""

from collections.abc import Mapping

from tests.properties.descriptions import Said

_WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
_TRACED: Mapping[str, object] = {"material": "copper", "traced": "yes", "joint_before": "soldered", "bonds": []}
_FOUND_GOOD = {"connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 3, "continuity": "0.02 ohm"}


def _reading(ohm: str) -> Said:
    taken = {"to": "earthing_conductor", "own_bond": "none", "protective_conductors": "none"}
    return {"reading": ohm, **taken, "pipe_filled": "yes", "surroundings_wet": "yes"}


def _installation(**facts: object) -> Said:
    return {"work": _WORK, "services": [], "detailed_services": [], "items": [], "locations": [], **facts}


def _sections(*lengths: Said, **facts: object) -> Said:
    service = {"kind": "oil", "comes_from": "inside_only", "joined_to": [], **facts, "sections": list(lengths)}
    return _installation(detailed_services=[service])


def _steel(**facts: object) -> Said:
    return {"kind": "structural_steel", "material": "steel", "fed_by": "nothing", "bonds": [], "measurements": [], **facts}


NOTHING_BEYOND_THE_ENTRY = _installation(
    services=[
        {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "joined_to": ["oil"]},
        {"kind": "oil", "comes_from": "inside_only", "enters_as": "steel", "inside": "nothing", "joined_by": "plastic_push_fit"},
    ]
)
"""Without the word `nothing` there may be a length inside, and the entering one may still meet the appliances."""
PLASTIC_BETWEEN_METALS = _sections(
    {**_TRACED},
    {"material": "plastic", "length_m": 0.15, "bore_mm": 20, "bonds": []},
    {**_TRACED, "joint_before": "insulating_joint"},
    kind="drain",
    comes_from="ground",
)
"""Water in a short plastic length conducts; so it may in a length of unknown material."""
STEEL_ON_STEEL = _installation(items=[_steel(touches="structural_steel"), _steel(touches="another_building")])
"""Without its touch known the first may still touch the second."""
READING_BEYOND_A_JOINT = _sections(
    {**_TRACED, "surroundings": "soil"}, {**_TRACED, "surroundings": "free_air", "measurements": [_reading("40 kohm")]}
)
"""Without the joint known the reading may or may not speak for the length in soil."""
RAISED_TOUCH_CURRENT = _installation(
    touch_current="30_mA",
    touch_current_reason="yes",
    items=[_steel(touches="concrete_or_masonry", measurements=[_reading("12 kohm")])],
)
"""Between both limits the designer's reason decides."""
MULTILAYER_BEFORE_A_BOND = _sections(
    {**_TRACED, "material": "multilayer", "surroundings": "soil"},
    {**_TRACED, "surroundings": "soil", "bonds": [{**_FOUND_GOOD, "continuity_parted": "yes", "joint": "sound"}]},
    comes_from="ground",
)
"""If it is metal it is one piece with the bonded length, and needs no connection of its own."""
FAILED_BOND_IN_DOUBT = _sections(
    {
        **_TRACED,
        "surroundings": "ground_bearing_floor",
        "bonds": [{**_FOUND_GOOD, "size": 4, "length_m": 12, "continuity": "4 ohm", "continuity_parted": "yes", "joint": "sound"}],
    },
    kind="water",
    comes_from="above_ground",
)
"""Without its size, length or reading known the bond may still have failed, so the metal is investigated as if it had."""
OUTSIDE_BEYOND_A_JOINT = _sections(
    {**_TRACED, "surroundings": "free_air"},
    {**_TRACED, "surroundings": "soil", "stands": "outside", "touchable_with_building": "no"},
    comes_from="ground",
)
"""Without the joint known the length outside may still be one piece with the pipe that enters."""
TWO_NEUTRALS = _installation(
    supply={
        "earthing_system": "TN-C-S",
        "pme_conditions": "apply",
        "phases": "single",
        "cut_out_rating_a": 100,
        "neutral": {"size": 50, "material": "copper"},
        "further_supplies": [{"pme_conditions": "unknown", "neutral": {"size": 120, "material": "copper"}}],
        "earthing_conductor": {"buried": "no", "calculated_mm2": 2.2},
    }
)
"""The first neutral asks for 16 mm2 whatever the second comes to, so the usual 10 mm2 do not serve for now."""
