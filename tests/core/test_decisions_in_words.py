"""What stands around a verdict: first lines, groups, questions, readings, reasons that can be looked up, refusals."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from tests import paged
from tests.core.cases import cases, judged, pack_of, published_pack
from tests.members import as_mapping

from bondwright.cases.case import Case
from bondwright.compose.answer import Evaluation, Verdict
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.errors import Contradiction, TooMuch
from bondwright.installation.services import DetailedService
from bondwright.metalwork.forms.detailed import survey_detailed_service
from bondwright.metalwork.forms.tables import Tables
from bondwright.metalwork.notes import MOST_LENGTHS, SurveyNotes

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
PLASTIC_FED = {"kind": "water", "comes_from": "ground", "enters_as": "plastic", "inside": "copper", "hidden": "no", "joined_to": []}
CASES = cases()

every_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


def verdicts(evaluation: Evaluation) -> list[Verdict]:
    """Every verdict with levels in an answer."""
    of_parts = [one for part in evaluation.parts for one in (*part.verdicts, *(each for bond in part.bonds for each in bond.verdicts))]
    return [*of_parts, *(one for room in evaluation.rooms for one in room.verdicts)]


def measured(**taken: Any) -> dict[str, Any]:
    """A plastic-fed, traced copper pipe with one reading on it."""
    reading = {
        "on": "inside_pipe",
        "to": "earthing_conductor",
        "own_bond": "none",
        "protective_conductors": "none",
        "pipe_filled": "yes",
        **taken,
    }
    return {"work": WORK, "services": [PLASTIC_FED | {"measurements": [reading]}]}


@every_case
def test_every_part_stands_in_exactly_one_group(case: Case) -> None:
    evaluation = judged(case.claim.installation)

    assert sorted(part.part for part in evaluation.parts) == sorted(name for group in evaluation.groups for name in group.parts)


@every_case
def test_every_first_line_says_which_kind_of_act_it_is(case: Case) -> None:
    evaluation = judged(case.claim.installation)

    marks = {part.mark for part in evaluation.parts} | {room.mark for room in evaluation.rooms}
    assert marks <= {"do", "leave", "do_not_connect", "measure_first", "settle_first", "stop", "remove", "not_judged"}


@every_case
def test_every_reason_can_be_looked_up_in_the_published_file(case: Case) -> None:
    evaluation = judged(case.claim.installation)
    pack = pack_of(evaluation)
    lines = pack.text.decode().splitlines()

    for reason in (reason for one in verdicts(evaluation) for reason in one.because):
        line = lines[reason.line - 1]

        assert (reason.pack_id, reason.pack_digest, reason.file) == (pack.pack_id, pack.digest, f"published/{pack.pack_id}.yaml")
        name = line.split(":")[0].strip()
        assert f"id: {reason.rule}" in line or reason.rule == f"{name}-otherwise" or reason.rule.endswith(f"-{name}-not-judged")


@every_case
def test_a_firm_verdict_asks_nothing(case: Case) -> None:
    assert [one.outcome for one in verdicts(judged(case.claim.installation)) if one.firm and one.questions] == []


@every_case
def test_the_same_description_gives_the_same_bytes(case: Case) -> None:
    assert evaluation_bytes(judged(case.claim.installation)) == evaluation_bytes(judged(case.claim.installation))


@every_case
def test_no_answer_promises_that_anything_is_safe(case: Case) -> None:
    evaluation = judged(case.claim.installation)

    assert "is safe" not in json.dumps(as_mapping(evaluation))
    assert evaluation.cautions == published_pack().cautions


def test_plastic_all_the_way_asks_nothing() -> None:
    evaluation = judged(
        {"work": WORK, "services": [{"kind": "water", "comes_from": "ground", "enters_as": "plastic", "inside": "plastic"}]}
    )

    assert [question for part in evaluation.parts for one in part.verdicts for question in one.questions] == []


def test_like_parts_to_leave_stand_under_one_line() -> None:
    items = [{"kind": kind, "material": "steel", "fed_by": "plastic", "touches": "nothing_earthy"} for kind in ("bath", "sink", "radiator")]

    evaluation = judged({"work": WORK, "items": items})

    assert [(group.mark, len(group.parts)) for group in evaluation.groups] == [("leave", 3)]


def test_a_bond_measured_good_on_metal_that_reads_high_with_it_on_is_refused_at_the_reading() -> None:
    good = {"on": "inside_pipe", "connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 5}
    bond = good | {"continuity": "0.02 ohm", "continuity_parted": "yes"}
    described = measured(reading="700 kohm", own_bond="on")
    pipe = described["services"][0]

    with pytest.raises(Contradiction) as refused:
        judged({**described, "services": [pipe | {"bonds": [bond]}]})

    assert refused.value.faults[0].pointer == "/services/0/measurements/0/reading"
    unmeasured = judged({**described, "services": [pipe | {"bonds": [bond | {"continuity": "unknown"}]}]}).parts[1]
    assert unmeasured.observation is not None and unmeasured.observation.code == "FI"


def test_a_reading_that_contradicts_the_description_is_refused_at_its_place() -> None:
    with pytest.raises(Contradiction) as refusal:
        judged(measured(reading="200 ohm"))

    assert [fault.pointer for fault in refusal.value.faults] == ["/services/0/measurements/0/reading"]


def test_a_high_reading_agrees_with_a_description_that_rules_earth_out() -> None:
    evaluation = judged(measured(reading=">999 MΩ"))

    assert [part.act for part in evaluation.parts] == ["leave", "leave"]


def test_a_part_in_doubt_gets_one_reading_as_a_recipe_with_its_limit() -> None:
    evaluation = judged({"work": WORK, "services": [PLASTIC_FED | {"hidden": "yes", "bonds": []}]})

    readings = [part.next_reading for part in evaluation.parts if part.act == "measure_or_bond"]

    assert [reading.limit_ohm for reading in readings if reading] == [22000, 22000]
    assert all(reading and "Nothing need be disconnected for a first reading" in reading.prepare for reading in readings)


def test_the_answer_names_the_touch_current_that_was_chosen_for_the_reader() -> None:
    (choice,) = judged({"work": WORK, "premises": "house"}).choices

    assert "22 kohm" in choice and "the default touch current" in choice


def test_a_touch_current_without_a_reason_is_told() -> None:
    choices = judged({"work": WORK, "touch_current": "30_mA"}).choices

    assert "without a recorded reason" in choices[1]


def test_stop_says_what_not_to_do_and_three_ways_out() -> None:
    riser = {"kind": "water", "comes_from": "communal_riser", "far_end_earthing": "separate", "enters_as": "copper", "inside": "nothing"}

    (part,) = judged({"work": WORK, "services": [riser]}).parts

    assert "Do not join it; do not remove what is joined" in part.line
    assert len(part.ways_out) == 3


def test_a_service_said_to_meet_one_that_nobody_described_is_refused_at_its_place() -> None:
    heating = {"kind": "heating", "comes_from": "inside_only", "enters_as": "copper", "joined_to": ["heating", "gas"]}

    with pytest.raises(Contradiction) as refusal:
        judged({"work": WORK, "services": [heating]})

    assert [fault.pointer for fault in refusal.value.faults] == ["/services/0/joined_to/1"]


def test_a_bond_on_the_second_of_two_plastic_lengths_is_not_lost() -> None:
    plastic = {"material": "plastic", "traced": "yes", "surroundings": "free_air"}
    water = {"kind": "water", "comes_from": "ground", "sections": [plastic, {**plastic, "bonds": [{"id": "clamp"}]}]}

    (part,) = judged({"work": WORK, "detailed_services": [water]}).parts

    assert [bond.bond for bond in part.bonds] == ["detailed_services-0/1/clamp"]


def test_a_description_of_too_many_lengths_is_refused_before_it_keeps_others_waiting() -> None:
    main: list[dict[str, Any]] = [{"branches": [{"sections": [{}] * 3}] * 10}] * 30

    with pytest.raises(TooMuch):
        judged({"work": WORK, "detailed_services": [{"kind": "water", "sections": main}]})


def test_a_description_of_too_many_lengths_is_refused_at_the_first_of_them() -> None:
    main: list[dict[str, Any]] = [{"branches": [{"sections": [{}] * 30}] * 10}] * 30
    notes = SurveyNotes()

    with pytest.raises(TooMuch):
        service = DetailedService.model_validate_json(json.dumps({"kind": "water", "sections": main}))
        survey_detailed_service(notes, Tables(published_pack()), service, "/detailed_services/0", "water")

    assert len(notes.lengths) == MOST_LENGTHS + 1


def test_no_verdict_asks_more_than_twelve_questions() -> None:
    evaluation = judged({"work": WORK, "services": [{"kind": "water"}] * 40})

    assert max(len(one.questions) for one in verdicts(evaluation)) <= 12


COPPER = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "nothing", "hidden": "no", "insulating_section": "none"}
SOUND = {"on": "entering_pipe", "connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 8, "joint": "sound"}


@pytest.mark.parametrize("page", [paged.page, paged.brief_page])
def test_parts_of_one_name_are_told_apart_by_their_place(page: Callable[[Evaluation], str]) -> None:
    plastic = {**COPPER, "enters_as": "plastic", "inside": "plastic"}

    evaluation = judged({"work": WORK, "services": [COPPER, {**COPPER, "bonds": [{**SOUND, "continuity": "0.02 ohm"}]}, plastic]})

    flat = " ".join(page(evaluation).split())
    copper, others = (tuple(part for part in evaluation.parts if ("copper" in part.name) is named) for named in (True, False))
    assert len({part.line for part in copper}) == 2
    assert [part.pointer for part in copper if f"{part.line} [{part.pointer}]" not in flat] == []
    assert [part.pointer for part in others if f"{part.line} [{part.pointer}]" in flat] == []
