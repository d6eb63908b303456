"""Earthings besides that of the supply: each level by what is told of one, what is refused, and what packs without rules for them say.

The levels follow 542.1.3.3 (what joins two earthings carries the current of both, or is kept apart from one), 411.5.3 (resistance times
rated residual current at most 50 V) and 411.3.1.1 (one reach, one earthing), all from memory; that a pitch or a charging point outdoors
keeps PME away is 708.411.4 and 722.411.4.
"""

from typing import Any

import pytest
from tests import paged
from tests.core.cases import judged, published_pack, read
from tests.rules.revisions import published

from bondwright.compose.answer import Evaluation
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

PME = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
NO_PME = {"earthing_system": "TN-S", "pme_conditions": "do_not_apply"}
ROD = {
    "id": "rod",
    "rests_on": "electrode",
    "all_named": "yes",
    "ties": [],
    "touchable_with_other": "no",
    "electrode_resistance": "60 ohm",
    "rcd_rating_ma": 30,
    "rcd_tested": "yes",
}
THIN = {"kind": "armour", "parted": "no", "carries_fault_current": "no"}
THICK = {"kind": "protective_conductor", "parted": "no", "carries_fault_current": "yes"}
PARTED = {"kind": "armour", "parted": "yes", "carries_fault_current": "no"}
DRIVE = {"id": "drive", "kind": "vehicle_charging", "earthing": "rod", "services": [], "items": [], "circuits": []}
STORE = {**DRIVE, "id": "store", "kind": "ordinary_room"}
FRAME = {
    "id": "frame",
    "kind": "structural_steel",
    "material": "steel",
    "fed_by": "nothing",
    "touches": "soil",
    "stands": "inside",
    "bonds": [],
}


def described(rod: dict[str, Any], place: dict[str, Any] = STORE, supply: dict[str, Any] = PME, **more: Any) -> dict[str, Any]:
    work = {"kind": "inspection", "inspected_on": "2026-11-25"}
    return {"work": work, "premises": "house", "supply": supply, "earthings": [rod], "locations": [place], **more}


LEVELS: list[tuple[dict[str, Any], dict[str, Any], dict[str, Any], str, bool, str]] = [
    ({}, STORE, PME, "kept_apart", True, "leave"),
    ({"ties": [PARTED]}, DRIVE, PME, "kept_apart", True, "leave"),
    ({"ties": [THICK]}, STORE, PME, "joined_well", True, "leave"),
    ({"ties": [THICK]}, DRIVE, NO_PME, "joined_well", True, "leave"),
    ({"ties": [THICK]}, DRIVE, PME, "must_be_parted", True, "stop"),
    ({"ties": [THICK]}, DRIVE, {}, "must_be_parted", False, "settle_first"),
    ({"ties": [THICK, THIN]}, STORE, PME, "must_be_parted", True, "stop"),
    ({"ties": [THICK, PARTED]}, STORE, PME, "joined_well", True, "leave"),
    ({"ties": [THIN]}, STORE, NO_PME, "must_be_parted", True, "stop"),
    ({"ties": [{"kind": "pipe"}]}, STORE, NO_PME, "must_be_parted", False, "settle_first"),
    ({"ties": "unknown"}, STORE, NO_PME, "must_be_parted", False, "settle_first"),
    ({"ties": [THICK], "all_named": "no"}, STORE, PME, "must_be_parted", False, "settle_first"),
    ({"ties": [THICK]}, {**DRIVE, "earthing": "unknown"}, PME, "must_be_parted", False, "settle_first"),
    ({"ties": [THICK]}, {**DRIVE, "earthing": "supply"}, PME, "joined_well", True, "leave"),
    ({"rcd_tested": "no"}, STORE, PME, "show_first", True, "measure_first"),
    ({"rcd_tested": "unknown"}, STORE, PME, "show_first", False, "measure_first"),
    ({"electrode_resistance": "unknown"}, STORE, PME, "show_first", False, "measure_first"),
    ({"rests_on": "own_source", "rcd_tested": "no"}, STORE, PME, "kept_apart", True, "leave"),
    ({"rests_on": "unknown", "rcd_tested": "no"}, STORE, PME, "show_first", False, "measure_first"),
    ({"electrode_resistance": "1280 ohm"}, STORE, PME, "kept_apart", True, "leave"),  # 49.92 V where it reads three tenths low
    ({"electrode_resistance": "1290 ohm"}, STORE, PME, "put_right", False, "measure_first"),  # 50.31 V
    ({"electrode_resistance": "2380 ohm"}, STORE, PME, "put_right", False, "measure_first"),  # 49.98 V where it reads three tenths high
    ({"electrode_resistance": "2390 ohm"}, STORE, PME, "put_right", True, "do"),  # 50.19 V
    ({"electrode_resistance": ">2 Mohm"}, STORE, PME, "put_right", True, "do"),
    ({"touchable_with_other": "yes"}, STORE, PME, "within_reach", True, "settle_first"),
    ({"touchable_with_other": "unknown"}, STORE, PME, "within_reach", False, "settle_first"),
    ({"touchable_with_other": "yes", "ties": [THICK]}, STORE, PME, "joined_well", True, "leave"),
]


@pytest.mark.parametrize(("rod", "place", "supply", "level", "firm", "mark"), LEVELS)
def test_each_level_follows_from_what_is_told(
    rod: dict[str, Any], place: dict[str, Any], supply: dict[str, Any], level: str, firm: bool, mark: str
) -> None:
    evaluation = judged(described({**ROD, **rod}, place, supply))

    (earthing,) = evaluation.earthings
    (told,) = earthing.verdicts
    assert (told.worst_case, told.firm, earthing.mark) == (level, firm, mark)
    assert " ".join(earthing.line.split()) in " ".join(paged.page(evaluation).split())


def test_each_level_of_the_pack_is_in_that_table() -> None:
    ladder = newest_levels()

    assert {level for *_, level, _, _ in LEVELS} == set(ladder)


def newest_levels() -> tuple[str, ...]:
    """The levels of what is decided of an earthing."""
    pack = published_pack()
    return pack.outcomes[pack.roles.further_earthing].levels


def test_what_nobody_told_never_joins_or_parts_two_earthings() -> None:
    fields = ("rests_on", "all_named", "ties", "touchable_with_other", "electrode_resistance", "rcd_rating_ma", "rcd_tested")
    ladder = newest_levels()
    for field, (rod, place, supply, level, firm, _) in ((field, one) for field in fields for one in LEVELS):
        evaluation = judged(described({**ROD, **rod, field: "unknown"}, place, supply))
        (earthing,) = evaluation.earthings

        assert ladder.index(earthing.verdicts[0].worst_case) >= ladder.index(level), (field, rod)
        assert earthing.act != "earthing_joined_well" or (level, firm) == ("joined_well", True), (field, rod)


@pytest.mark.parametrize(
    ("change", "places"),
    [
        ({"earthings": [ROD, ROD]}, ["/earthings/1/id"]),
        ({"earthings": [{**ROD, "id": "supply"}], "locations": []}, ["/earthings/0/id"]),
        ({"earthings": [{**ROD, "id": "unknown"}], "locations": []}, ["/earthings/0/id"]),
        ({"earthings": [{**ROD, "id": "more_than_one"}], "locations": []}, ["/earthings/0/id"]),
        ({"locations": [{**STORE, "earthing": "pole"}]}, ["/locations/0/earthing"]),
        ({"locations": [{**STORE, "earthing": "more_than_one"}]}, ["/locations/0/earthing"]),
        ({"locations": [{**STORE, "circuits": [{"earthing": "pole"}], "earthing": "unknown"}]}, ["/locations/0/circuits/0/earthing"]),
        ({"locations": [{**STORE, "circuits": [{"earthing": "supply"}]}]}, ["/locations/0/circuits/0/earthing"]),
        ({"locations": [{**STORE, "items": [{**FRAME, "earthing": "pole"}]}]}, ["/locations/0/items/0/earthing"]),
        ({"items": [{**FRAME, "earthing": "pole"}]}, ["/items/0/earthing"]),
        ({"services": [{"kind": "water", "earthing": "pole"}]}, ["/services/0/earthing"]),
        ({"detailed_services": [{"kind": "water", "sections": [{}], "earthing": "pole"}]}, ["/detailed_services/0/earthing"]),
    ],
)
def test_a_name_that_is_not_there_is_refused_at_its_place(change: dict[str, Any], places: list[str]) -> None:
    with pytest.raises(Contradiction) as refused:
        judged({**described(ROD), **change})

    assert [fault.pointer for fault in refused.value.faults] == places


BETWEEN = {**FRAME, "earthing": "more_than_one"}
PIPE = {"kind": "pipe", "parted": "no", "carries_fault_current": "yes"}


@pytest.mark.parametrize(
    ("earthings", "way_out"),
    [
        ([], "describe it in `earthings`"),
        ([{**ROD, "ties": []}], "name this metal there"),
        ([{**ROD, "ties": [{**PIPE, "parted": "yes"}]}], "name this metal there"),
        ([{**ROD, "ties": [THIN, THICK]}], "name this metal there"),
    ],
)
def test_metal_between_earthings_is_refused_where_the_rest_says_that_there_is_none(earthings: list[dict[str, Any]], way_out: str) -> None:
    places = [{**STORE, "earthing": "supply", "items": [{**BETWEEN, "id": "other"}]}]
    said = {**described(ROD), "earthings": earthings, "locations": places, "items": [BETWEEN]}

    with pytest.raises(Contradiction) as refused:
        judged(said)

    assert [fault.pointer for fault in refused.value.faults] == ["/items/0/earthing", "/locations/0/items/0/earthing"]
    assert all(way_out in fault.detail for fault in refused.value.faults)


@pytest.mark.parametrize(
    "earthings",
    [
        [{**ROD, "ties": "unknown"}],
        [{**ROD, "ties": [PIPE]}],
        [{**ROD, "ties": [PARTED, {"kind": "unknown"}]}],
        [ROD, {**ROD, "id": "generator"}],  # between these two, whatever ties either to that of the supply
    ],
)
@pytest.mark.parametrize("bonds", [[], [{"connected_to": "main_earthing_terminal", "continuity": "0.02 ohm", "continuity_parted": "yes"}]])
@pytest.mark.parametrize("touches", ["soil", "nothing_earthy"])
def test_metal_between_earthings_is_a_stop_whatever_else_is_told(earthings: list[Any], bonds: list[Any], touches: str) -> None:
    said = {**described(ROD), "earthings": earthings, "items": [{**BETWEEN, "bonds": bonds, "touches": touches}]}

    evaluation = judged(said)

    (part,) = evaluation.parts
    assert (part.act, evaluation.plan.connections) == ("stop", ())
    assert "insulating section" in " ".join(part.ways_out)


@pytest.mark.parametrize("all_named", ["no", "unknown"])
def test_metal_that_names_no_earthing_in_a_place_on_one_may_be_between_two(all_named: str) -> None:
    place = {**STORE, "items": [{name: said for name, said in FRAME.items() if name != "earthing"}]}

    (part,) = judged(described({**ROD, "all_named": all_named}, place)).parts

    objection = next(one for one in part.verdicts if one.outcome == "objection")
    assert (objection.worst_case, objection.firm, part.mark) == ("must_not_be_connected", False, "settle_first")


@pytest.mark.parametrize("pack_id", ["bs7671-2018-a4-r1", "bs7671-2018-a4-r9", "iec60364-2017-r9"])
def test_a_pack_without_rules_for_them_joins_nothing_to_metal_between_earthings(pack_id: str) -> None:
    evaluation = by_pack(published(pack_id), described({**ROD, "ties": [PIPE]}, items=[BETWEEN]))

    (frame,) = evaluation.parts
    assert frame.mark not in ("do", "measure_first")
    assert evaluation.plan.connections == ()


def by_pack(pack: RulePack, said: dict[str, Any]) -> Evaluation:
    channels = TwoChannels(pack, Kept())
    return evaluate(read(said), pack, channels.acts, channels.memory)


@pytest.mark.parametrize("pack_id", ["bs7671-2018-a4-r1", "bs7671-2018-a4-r9", "iec60364-2017-r9"])
def test_a_pack_without_rules_for_them_judges_none_and_joins_nothing_to_another_earthing(pack_id: str) -> None:
    said = described(ROD, items=[{**FRAME, "earthing": "rod"}])

    evaluation = by_pack(published(pack_id), said)

    (earthing,), (frame,) = evaluation.earthings, evaluation.parts
    assert (earthing.act, earthing.verdicts) == ("not_judged", ())
    assert [(one.of, one.pointer) for one in evaluation.not_judged if one.of == "earthing"] == [("earthing", "/earthings/0")]
    assert frame.mark not in ("do", "measure_first")
    assert evaluation.plan.connections == ()


def test_in_premises_that_are_not_judged_no_earthing_is() -> None:
    evaluation = judged({**described(ROD), "premises": "filling_station", "locations": []})

    (earthing,) = evaluation.earthings
    assert (earthing.act, [one.act_on for one in earthing.verdicts]) == ("not_judged", ["not_judged"])


@pytest.mark.parametrize(("tie", "act"), [(PARTED, "earthing_kept_apart"), (THIN, "earthing_must_be_parted")])
def test_on_a_farm_whose_places_are_judged_the_earthing_of_one_is_too(tie: dict[str, Any], act: str) -> None:
    evaluation = judged({**described({**ROD, "ties": [tie]}, DRIVE), "premises": "farm"})

    (earthing,) = evaluation.earthings
    assert earthing.act == act
    assert [one.of for one in evaluation.not_judged] == ["premises"]


@pytest.mark.parametrize(
    ("rod", "frame", "mark", "connected"),
    [
        ({}, {"earthing": "supply"}, "do", True),
        ({}, {}, "do", True),  # all that is on the rod names it
        ({}, {"earthing": "rod"}, "do_not_connect", False),
        ({"all_named": "no"}, {}, "settle_first", False),
        ({"all_named": "unknown"}, {"earthing": "unknown"}, "settle_first", False),
        ({"all_named": "no"}, {"earthing": "supply"}, "do", True),
    ],
)
def test_metal_is_joined_to_the_main_earthing_terminal_where_it_is_known_to_be_on_it(
    rod: dict[str, Any], frame: dict[str, Any], mark: str, connected: bool
) -> None:
    evaluation = judged(described({**ROD, **rod}, items=[{**FRAME, **frame}]))

    (part,) = evaluation.parts
    assert part.mark == mark
    assert bool(evaluation.plan.connections) is connected
