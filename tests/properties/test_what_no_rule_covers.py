"""The caution law of what no rule covers: no description and no unknown leads from a kind that is not judged to a firm verdict or an
act upon it; and it cannot be met by judging nothing."""

import copy
from collections.abc import Mapping

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from tests import paged
from tests.core.kinds import KINDS, description, said_of_what_is_not_judged, things_not_judged, unjudged
from tests.described import described
from tests.opened import in_place
from tests.properties.descriptions import Said, installations, items, locations, services
from tests.properties.judged import Judged, judged, level, pack
from tests.properties.severity import disagreements
from tests.properties.withholding import withheld

from bondwright.compose.answer import PartAnswer
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.members import replace
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.memory import Kept

MANY = settings(deadline=None, max_examples=80, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
WITHOUT_RULES = unjudged(pack())
kinds_without_rules = st.sampled_from(WITHOUT_RULES)
METAL_AS = "metal_as"
"""The column of kinds of location of which the location alone says what is joined there: of its metal nothing is judged by itself."""


def accepted(said: Said) -> Judged:
    """The evaluation; the example is dropped where the description contradicts itself."""
    found = judged(said)
    assume(found is not None)
    assert found is not None
    return found


def with_a_thing(said: Said, kind: Kind, item: Said, location: Said, service: Said) -> Said:
    """The description with one thing of a kind more: metalwork, a place, a service; or its premises of that kind."""
    grown = copy.deepcopy(said)
    match kind.of:
        case "item":
            grown["items"].append({**item, "kind": kind.name, "id": "it"})
        case "location":
            grown["locations"].append({**location, "kind": kind.name, "id": "it"})
        case "service":
            grown["services"].append({**service, "kind": kind.name, "id": "it", "joined_to": []})
        case "premises":
            grown["premises"] = kind.name
    return grown


def acted_upon(found: Judged, kind: Kind) -> list[str]:
    """Where an answer clears, orders or settles a thing of a kind that no rule covers, in words."""
    evaluation = found.evaluation
    faults = said_of_what_is_not_judged(evaluation)
    if not any((one.of, one.kind) == (kind.of, kind.name) for one in evaluation.not_judged):
        faults.append(f"no {kind.of} {kind.name} stands at the head")
    own = {one.pointer for one in evaluation.not_judged if (one.of, one.kind) == (kind.of, kind.name)}
    faults += [f"{one.pointer} is judged: {one.act}" for one in evaluation.parts if one.pointer in own and one.act != "not_judged"]
    if kind.of == "premises":
        locations_judged = kind.word("its_locations", "") == "judged"  # the premises say so of locations with a section of their own
        faults += [
            f"{one.pointer} is judged: {one.act}"
            for one in evaluation.parts
            if one.act != "not_judged" and not (locations_judged and one.pointer.startswith("/locations/"))
        ]
        faults += [f"{one.outcome} is firm" for one in (evaluation.main_bond_size, evaluation.earthing_conductor_size) if one.firm]
    return faults


@MANY
@given(installations(), kinds_without_rules, items(), locations(), services())
def test_no_description_leads_from_a_kind_without_rules_to_a_firm_verdict_or_an_act(
    said: Said, kind: Kind, item: Said, location: Said, service: Said
) -> None:
    found = accepted(with_a_thing(said, kind, item, location, service))

    assert acted_upon(found, kind) == []


@MANY
@given(installations(), kinds_without_rules, items(), locations(), services())
def test_words_and_json_of_such_a_thing_are_equally_severe(said: Said, kind: Kind, item: Said, location: Said, service: Said) -> None:
    evaluation = accepted(with_a_thing(said, kind, item, location, service)).evaluation

    assert disagreements(in_place(evaluation), paged.page(evaluation), pack()) == []


@MANY
@given(st.data(), installations(), kinds_without_rules, items(), locations(), services())
def test_no_unknown_leads_from_a_kind_without_rules_to_a_firm_verdict_or_an_act(
    data: st.DataObject, said: Said, kind: Kind, item: Said, location: Said, service: Said
) -> None:
    held = data.draw(withheld(with_a_thing(said, kind, item, location, service)))
    assume(kind.of != "premises" or held.get("premises") == kind.name)

    assert acted_upon(accepted(held), kind) == []


@pytest.mark.parametrize("kind", WITHOUT_RULES, ids=lambda kind: kind.rule_id)
@settings(MANY, max_examples=4)
@given(installations(), items(), locations(), services())
def test_no_kind_of_the_vocabulary_is_an_exception(kind: Kind, said: Said, item: Said, location: Said, service: Said) -> None:
    assert acted_upon(accepted(with_a_thing(said, kind, item, location, service)), kind) == []


@MANY
@given(st.data(), installations(rooms=2))
def test_leaving_the_kind_of_a_location_open_never_makes_an_evaluation_less_cautious(data: st.DataObject, said: Said) -> None:
    assume(bool(said["locations"]))
    held = copy.deepcopy(said)
    for number in data.draw(st.sets(st.sampled_from(range(len(said["locations"]))), min_size=1)):
        held["locations"][number]["kind"] = data.draw(st.sampled_from(("unknown", "other")))

    before, after = accepted(said), accepted(held)

    lower = [
        f"{room.pointer}: {room.verdicts[0].worst_case} to {other.verdicts[0].worst_case}"
        for room, other in zip(before.evaluation.rooms, after.evaluation.rooms, strict=True)
        if room.verdicts[0].outcome == other.verdicts[0].outcome and level(other.verdicts[0]) < level(room.verdicts[0])
    ]
    lower += [  # a place that is asked something else first: then nothing of it may be judged any more
        f"{room.pointer}: {room.act} to {other.act}"
        for room, other in zip(before.evaluation.rooms, after.evaluation.rooms, strict=True)
        if room.verdicts[0].outcome != other.verdicts[0].outcome and other.act != "not_judged"
    ]
    lower += said_of_what_is_not_judged(after.evaluation)
    lower += [
        f"{one.outcome} of {node}: {one.worst_case} to {other.worst_case}"
        for node in before.parts
        for one, other in zip(before.parts[node].verdicts, after.parts[node].verdicts, strict=True)
        if level(other) < level(one)
    ]
    assert lower == []


def _told(part: PartAnswer) -> object:
    return replace(part, pointer="")


def moved_by_a_place(before: Judged, after: Judged) -> list[str]:
    """Parts whose answer is not the same with one more place described."""
    return [node for node in before.parts if _told(before.parts[node]) != _told(after.parts[node])]


@MANY
@given(installations(), st.sampled_from([kind for kind in WITHOUT_RULES if kind.of == "location"]), locations())
def test_a_place_without_rules_changes_nothing_of_the_parts_outside_its_reach(said: Said, kind: Kind, location: Said) -> None:
    """Within its reach are what stands in it and the pipes that show in it; a raised touch current is for nobody where it is described."""
    assume(said["touch_current"] != "30_mA")
    place = {**location, "kind": kind.name, "id": "place", "items": [], "services": []}

    before = accepted(said)
    after = accepted({**said, "locations": [*said["locations"], place]})

    assert moved_by_a_place(before, after) == []
    assert after.evaluation.rooms[:-1] == before.evaluation.rooms
    assert after.evaluation.plan == before.evaluation.plan


@MANY
@given(installations(), locations(), items())
def test_metal_in_such_a_place_that_meets_no_other_changes_nothing_of_the_rest(said: Said, location: Said, item: Said) -> None:
    assume(said["touch_current"] != "30_mA")
    apart = {**item, "id": "apart", "fed_by": "nothing", "touches": "nothing_earthy", "kind": "window_frame", "accessible": "yes"}
    apart["measurements"] = []
    place = {**location, "kind": "solar_power", "items": [apart], "services": []}

    before = accepted(said)
    after = accepted({**said, "locations": [*said["locations"], place]})

    assert moved_by_a_place(before, after) == []
    assert after.evaluation.plan == before.evaluation.plan


JUDGED: Mapping[str, tuple[str, ...]] = {
    "location": (
        "ordinary_room",
        "bath_or_shower",
        "pool_or_fountain",
        "sauna",
        "construction_site",
        "agricultural_or_horticultural",
        "conducting_with_restricted_movement",
        "caravan_or_camping_pitch",
        "marina",
        "medical",
        "exhibition_or_stand",
        "outdoor_lighting",
        "extra_low_voltage_lighting",
        "mobile_unit",
        "inside_caravan",
        "vehicle_charging",
        "gangway",
        "inland_shore_connection",
        "fairground",
        "floor_or_ceiling_heating",
        "lightning_protection",
        "outdoor_metal",
    ),
    "item": (
        "tap",
        "sink",
        "bath",
        "shower_tray",
        "radiator",
        "towel_rail",
        "window_frame",
        "door_frame",
        "structural_steel",
        "staircase",
        "balcony",
        "cladding",
        "cable_tray",
        "ceiling_grid",
        "raised_floor",
        "gate",
        "fence",
        "tank",
        "lighting_column",
        "telecom_sheath",
        "equipment_case",
        "other",
        "heating_element",
    ),
    "service": (
        "water",
        "gas",
        "oil",
        "lpg",
        "heating",
        "district_heating",
        "drain",
        "rainwater",
        "sprinkler",
        "compressed_air",
        "duct",
        "refrigerant",
    ),
    "premises": (
        "house",
        "flat",
        "common_parts",
        "outbuilding",
        "shop_or_office",
        "workshop_or_factory",
        "school_or_hall",
        "hotel",
        "unknown",
    ),
}
"""What stays judged: a kind leaves this list with a reason in the commit, never by a change of a table alone."""


def test_the_kinds_that_are_judged_stay_judged() -> None:
    judged_now = {of: tuple(name for name in names if pack().kind(of, name).judged) for of, names in KINDS.items()}

    assert judged_now == JUDGED


@MANY
@given(installations(rooms=2))
def test_nothing_of_a_judged_kind_in_a_judged_place_is_left_without_a_judgement(said: Said) -> None:
    found = accepted(said)

    left = {
        f"/locations/{number}/items/"
        for number, one in enumerate(said["locations"])
        if pack().kind("location", one["kind"]).word(METAL_AS, "")
    }
    left_to_them = tuple(sorted(left))
    assert [one for one in found.evaluation.not_judged if not left_to_them or not one.pointer.startswith(left_to_them)] == []
    assert [one for one in things_not_judged(found.evaluation) if not left_to_them or not one.pointer.startswith(left_to_them)] == []


def test_a_charging_point_that_the_pack_took_for_judged_would_be_found() -> None:
    """Planted: with the row turned to judged the same rules order a bond on it, and the law notices."""
    said = description("item", "charging_point")
    kind = pack().kind("item", "charging_point")
    rows = {**pack().kinds.rows, "item": {**pack().kinds.rows["item"], kind.name: replace(kind, governed=None)}}
    lax = replace(pack(), kinds=replace(pack().kinds, rows=rows))
    installation = described(said)

    evaluation = evaluate(installation, lax, TwoChannels(lax, Kept()).acts)

    assert evaluation.parts[0].act != "not_judged"
    assert acted_upon(Judged(evaluation, installation), kind) != []
