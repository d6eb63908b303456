"""What no rule of a pack covers is not judged: nothing of it is cleared, nothing ordered, and the head of the answer says so."""

from typing import Any

import pytest
from tests import paged
from tests.core.cases import judged, published_pack, read
from tests.core.kinds import (
    ALUMINIUM_APART,
    FOUND_GOOD,
    HIGH,
    KINDS,
    ROOM,
    STEEL_IN_SOIL,
    SUPPLY,
    WORK,
    description,
    said_of_what_is_not_judged,
    things_not_judged,
    unjudged,
)
from tests.rules.revisions import all_published, published

from bondwright.compose.answer import Evaluation, PartAnswer
from bondwright.conclude.concluding import plainly
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.members import replace
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import PublishedPack, on_shelf

NOT_JUDGED = unjudged(published_pack())
every_kind_without_rules = pytest.mark.parametrize("kind", NOT_JUDGED, ids=lambda kind: kind.rule_id)


def part(evaluation: Evaluation, name: str) -> PartAnswer:
    return next(one for one in evaluation.parts if one.part == name or one.part.startswith(f"{name}/"))


def house(**parts: Any) -> Evaluation:
    return judged({"work": WORK, "premises": "house", "supply": SUPPLY, "survey_complete": "yes", **parts})


def test_there_are_kinds_without_rules_of_every_sort() -> None:
    assert {kind.of for kind in NOT_JUDGED} == set(KINDS)
    assert len(NOT_JUDGED) >= 30


@every_kind_without_rules
def test_a_thing_of_a_kind_without_rules_is_neither_cleared_nor_ordered(kind: Kind) -> None:
    evaluation = judged(description(kind.of, kind.name))

    assert things_not_judged(evaluation) and said_of_what_is_not_judged(evaluation) == []


@every_kind_without_rules
def test_the_head_of_the_answer_names_it_with_what_governs_it_and_whom_to_ask(kind: Kind) -> None:
    evaluation = judged(description(kind.of, kind.name))
    assert kind.governed is not None

    told = next(one for one in evaluation.not_judged if (one.of, one.kind) == (kind.of, kind.name))

    assert (told.section, told.governed_by) == (kind.governed.section or None, kind.governed.governed_by)
    assert (told.known, told.ask) == (kind.governed.known, kind.governed.ask)


@every_kind_without_rules
def test_the_page_says_first_how_many_are_not_judged_and_what_governs_them(kind: Kind) -> None:
    evaluation = judged(description(kind.of, kind.name))
    assert kind.governed is not None

    for page in (paged.page(evaluation), paged.brief_page(evaluation)):
        flat = " ".join(page.split())
        assert f"NOT COVERED HERE: {len(evaluation.not_judged)} of the things described" in flat
        assert "Not covered here: " in flat and f": {kind.governed.governed_by}. " in flat
        assert "WHAT TO DO" not in page or page.index("NOT COVERED HERE") < page.index("WHAT TO DO")


@pytest.mark.parametrize("kind", [one for one in KINDS["item"] if published_pack().kind("item", one).judged])
def test_an_item_of_any_kind_in_a_place_without_rules_is_not_judged(kind: str) -> None:
    inside = {"id": "inside", "kind": kind, "accessible": "yes", **STEEL_IN_SOIL}
    evaluation = house(locations=[{"kind": "solar_power", "services": [], "items": [inside], "circuits": []}])

    assert part(evaluation, "inside").act == "not_judged"
    assert said_of_what_is_not_judged(evaluation) == []
    assert [(one.of, one.kind, one.section) for one in evaluation.not_judged] == [
        ("item", kind, "712"),
        ("location", "solar_power", "712"),
    ]


def test_a_reading_or_a_bond_on_it_is_not_judged_either() -> None:
    mast = {"id": "mast", "kind": "lightning_protection", **ALUMINIUM_APART, "bonds": [FOUND_GOOD], "measurements": [HIGH]}

    evaluation = house(items=[mast])

    told = part(evaluation, "mast")
    assert [bond.counts for bond in told.bonds] == ["not_judged"]
    assert [reading.verdict.act_on for reading in told.readings] == ["not_judged"]
    assert said_of_what_is_not_judged(evaluation) == []


def test_the_same_bond_and_reading_on_a_balcony_are_judged() -> None:
    rail = {"id": "rail", "kind": "staircase", **ALUMINIUM_APART, "bonds": [FOUND_GOOD], "measurements": [HIGH]}

    told = part(house(items=[rail]), "rail")

    assert (told.act, told.bonds[0].counts) == ("leave_as_found", "counts")


def test_lightning_protection_gets_no_size_of_a_main_bond_and_goes_to_its_designer() -> None:
    evaluation = house(items=[{"id": "rods", "kind": "lightning_protection", **STEEL_IN_SOIL}])

    told = part(evaluation, "rods")
    assert "411.3.1.2 with BS EN 62305" in told.line and "designer" in told.line
    assert "mm²" not in told.line and evaluation.plan.connections == ()


def test_a_location_that_is_none_of_the_kinds_is_not_asked_about_again() -> None:
    evaluation = house(locations=[{**ROOM, "kind": "other"}])

    assert (evaluation.rooms[0].act, evaluation.rooms[0].verdicts[0].questions) == ("not_judged", ())


@pytest.mark.parametrize("word", [None, "unknown"])
def test_a_kind_of_location_left_open_is_not_judged_and_asked_for(word: str | None) -> None:
    location = {**ROOM, **({} if word is None else {"kind": word})}

    evaluation = house(locations=[location])

    assert evaluation.rooms[0].act == "not_judged"
    assert [question.pointer for question in evaluation.rooms[0].verdicts[0].questions] == ["/locations/0/kind"]
    assert evaluation.not_judged[-1].questions == evaluation.rooms[0].verdicts[0].questions


def test_an_ordinary_room_is_judged_as_before() -> None:
    evaluation = house(locations=[{"kind": "ordinary_room", **ROOM}])

    assert evaluation.not_judged == ()
    assert evaluation.rooms[0].act == "room_nothing"


def test_premises_without_rules_leave_nothing_judged_and_no_size_settled() -> None:
    feeder = {"comes_from": "another_building", "earth": "carried_over", "protective_conductors": [{"size": 4, "material": "copper"}]}
    water = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "hidden": "no", "joined_to": []}

    evaluation = house(
        premises="filling_station", supply={**SUPPLY, "feeder": feeder}, services=[water], locations=[{"kind": "bath_or_shower", **ROOM}]
    )

    assert {one.act for one in evaluation.parts} == {one.act for one in evaluation.rooms} == {"not_judged"}
    assert evaluation.feeder is not None and evaluation.feeder.act == "not_judged" and not evaluation.feeder.verdict.firm
    assert not (evaluation.main_bond_size.firm or evaluation.earthing_conductor_size.firm)
    assert evaluation.main_bond_size.provisional is None
    assert evaluation.not_judged[0].of == "premises"


def test_premises_that_nobody_named_are_judged_as_an_ordinary_building_and_the_answer_says_so() -> None:
    evaluation = judged({"work": WORK, "items": [{"kind": "gate", **STEEL_IN_SOIL}]})

    assert evaluation.not_judged == ()
    assert any("ordinary building" in choice for choice in evaluation.choices)


def test_a_pipe_that_shows_in_a_place_without_rules_is_not_left_to_itself_there() -> None:
    water = {"kind": "water", "comes_from": "ground", "enters_as": "plastic", "inside": "copper", "hidden": "no", "joined_to": []}
    roof = {"id": "roof", "kind": "solar_power", "items": [], "circuits": [], "services": [{"kind": "water", "accessible": "yes"}]}

    there = house(services=[water], locations=[roof])
    apart = house(services=[water], locations=[{**roof, "services": []}])

    inside = next(one for one in there.parts if one.part == "services-0/inside")
    assert (inside.act, inside.mark) == ("not_judged_there", "not_judged")
    assert "Section 712" in inside.line and "roof" in inside.line
    assert next(one for one in inside.verdicts if one.outcome == "main_bonding").act_on == "not_required"
    assert {one.act for one in apart.parts} == {"leave"}


def test_an_unjudged_part_keeps_a_bathroom_from_being_freed_unless_it_stands_outside() -> None:
    bath = {
        "id": "bath",
        "kind": "bath_or_shower",
        "services": [{"kind": "water", "accessible": "yes"}],
        "items": [],
        "circuits": ROOM["circuits"],
    }
    bonded = [{"on": "entering_pipe", **FOUND_GOOD}]
    water: dict[str, Any] = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "hidden": "no"}
    water |= {"joined_by": "soldered", "joined_to": [], "bonds": bonded, "insulating_section": "none", "meter": {"position": "none"}}

    alone = house(services=[water], locations=[bath])
    frame = {"kind": "solar_frame", **ALUMINIUM_APART}
    acts = {
        stands: house(services=[water], locations=[bath], items=[{**frame, "stands": stands}]).rooms[0].act
        for stands in ("inside", "both", "unknown", "outside")
    }

    assert alone.rooms[0].act == "room_omit"
    assert acts == {"inside": "room_settle", "both": "room_settle", "unknown": "room_settle", "outside": "room_omit"}


def test_metal_that_may_meet_what_is_not_judged_is_neither_freed_nor_decided_by_it() -> None:
    frame = {"id": "frame", "kind": "structural_steel", "material": "steel", "fed_by": "nothing", "touches": "nothing_earthy", "bonds": []}
    rods = {"kind": "lightning_protection", **STEEL_IN_SOIL, "touches": "structural_steel"}

    alone, beside = (part(house(items=items), "frame") for items in ([frame], [frame, rods]))

    assert [one.firm for one in alone.verdicts] == [True, True, True]
    assert [one.firm for one in beside.verdicts] == [False, False, False]
    assert alone.act == "leave" and beside.act not in ("leave", "bond")
    assert [one.questions for one in beside.verdicts] == [()] * len(beside.verdicts)


def test_the_raised_touch_current_needs_places_that_the_pack_lets_it_be_in() -> None:
    chosen = {"touch_current": "30_mA", "touch_current_reason": "yes"}

    limits = {
        kind: house(locations=[{"kind": kind, "services": [], "items": [], "circuits": []}], **chosen).choices[0]
        for kind in KINDS["location"]
    }

    assert [kind for kind, choice in limits.items() if "raised" in choice] == ["ordinary_room"]


OLD_PACKS = [pack for pack in on_shelf(rules_folder()) if pack.pack_id.endswith(("-r1", "-r2"))]


def test_packs_of_the_first_two_revisions_alone_left_their_kinds_undeclared() -> None:
    assert [pack.pack_id for pack in all_published() if not pack.kinds.declared] == [pack.pack_id for pack in OLD_PACKS]


@pytest.mark.parametrize("shelved", OLD_PACKS, ids=lambda pack: pack.pack_id)
def test_an_older_pack_judges_what_it_had_words_for_and_nothing_else(shelved: PublishedPack) -> None:
    pack = published(shelved.pack_id)
    acting = TwoChannels(pack, Kept()).acts
    rooms = [{"id": kind, "kind": kind, **ROOM, "items": []} for kind in KINDS["location"]]
    items = [{"id": f"item-{kind}", "kind": kind, **ALUMINIUM_APART} for kind in KINDS["item"]]

    evaluation = evaluate(read({"work": WORK, "supply": SUPPLY, "items": items, "locations": rooms}), pack, acting)

    assert [room.location for room in evaluation.rooms if room.act != "not_judged"] == ["ordinary_room", "bath_or_shower", "other"]
    assert {one.kind for one in evaluation.parts if one.act == "not_judged"} == set(KINDS["item"]) - set(pack.properties["item_kinds"])
    assert said_of_what_is_not_judged(evaluation) == []


def test_what_clears_or_orders_an_unjudged_thing_is_found() -> None:
    """The words and members looked at above can be wrong: each of these is."""
    evaluation = judged(description("item", "charging_point"))
    (one,) = evaluation.parts
    firm = replace(one.verdicts[0], firm=True)
    settled = replace(one.verdicts[0], act_on="not_required", words="main bonding is not required")

    for wrong in (
        replace(one, line="Leave the vehicle charging point unbonded: no action."),
        replace(one, line="Bond the vehicle charging point: 10 mm²."),
        replace(one, verdicts=(firm, *one.verdicts[1:])),
        replace(one, verdicts=(settled, *one.verdicts[1:])),
        replace(one, tests=("Continuity.",)),
        replace(one, place="at the entry"),
        replace(one, mark="do"),
    ):
        assert said_of_what_is_not_judged(replace(evaluation, parts=(wrong,))) != []
    assert said_of_what_is_not_judged(replace(evaluation, not_judged=())) != []


def with_column(kind: str, **columns: str) -> RulePack:
    """The newest pack with more in the row of a kind of premises."""
    pack = published_pack()
    rows = pack.kinds.rows["premises"]
    row = replace(rows[kind], row={**rows[kind].row, **columns})
    return replace(pack, kinds=replace(pack.kinds, rows={**pack.kinds.rows, "premises": {**rows, kind: row}}))


def rooms(pack: RulePack, kind: str, premises: str) -> list[str]:
    """The acts of a location of that kind in such premises."""
    said = {"work": WORK, "premises": premises, "supply": SUPPLY, "locations": [{**ROOM, "kind": kind}]}
    return [room.act for room in evaluate(read(said), pack, plainly(pack)).rooms]


@pytest.mark.parametrize(
    ("kind", "judged_there"), [("bath_or_shower", True), ("ordinary_room", False), ("explosion_risk", False), ("unknown", False)]
)
def test_a_location_with_a_section_of_its_own_is_judged_in_premises_that_say_so(kind: str, judged_there: bool) -> None:
    without, told = published_pack(), with_column("filling_station", its_locations="judged")

    assert rooms(without, kind, "filling_station") == ["not_judged"]
    assert (rooms(told, kind, "filling_station") != ["not_judged"]) is judged_there
