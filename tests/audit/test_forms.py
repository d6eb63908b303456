"""Answers of every form are read for what they say: the worst case, never what is safe to act on."""

import json

import pytest
from tests.audit.builders import PACK_TEXT, in_form, new_record

from bondwright.audit.comparing.impact import Change, changes
from bondwright.audit.forms import LEVELS, WITH_TABLES, content_of, form_of, judged_in
from bondwright.audit.marks import marks_of
from bondwright.audit.record import RecordStore, Search
from bondwright.errors import RecordBroken

LADDERS = {"main": ("leave", "ask", "bond")}


@pytest.mark.parametrize(
    ("evaluation", "form"),
    [
        (b'{"reference":""}', 1),
        (b"{}", 1),
        (b"[]", 1),
        (b"\xff", 1),
        (b'{"reference":"form","form":2}', 1),
        (b'{"form":2,"reference":""}', 2),
        (b'{"form":2}', 2),
        (b'{"form":3,"reference":""}', 3),
        (b'{"form":4,"reference":""}', 4),
        (b' {"form" : 2 }', 2),
    ],
)
def test_an_answer_is_of_the_form_that_it_begins_with_and_else_of_the_first(evaluation: bytes, form: int) -> None:
    assert form == form_of(evaluation)


@pytest.mark.parametrize("named", ["5", "0", "20", "2.0", '"2"', "null", "", "\xff"])
def test_a_form_that_is_not_known_is_refused_with_those_that_are(named: str) -> None:
    with pytest.raises(RecordBroken, match=r"the answer is of form .*; this service reads 1 to 4"):
        form_of(f'{{"form":{named},"reference":""}}'.encode("latin-1"))


def test_the_forms_are_numbered_without_a_gap() -> None:
    assert list(LEVELS) == list(range(1, len(LEVELS) + 1))
    assert {frozenset(members) for members in LEVELS.values()} == {frozenset(LEVELS[1])}


@pytest.mark.parametrize("form", LEVELS)
def test_a_verdict_and_a_size_are_found_with_place_and_subject_in_every_form(form: int) -> None:
    verdict, size = judged_in(content_of(in_form(form, "bond", act_on="not_shown", firm=False, size=(4, 10))), form)

    assert (verdict.pointer, verdict.subject, verdict.outcome, verdict.worst_case) == ("/parts/0/verdicts/0", "gas", "main", "bond")
    assert verdict.said() == {"worst_case": "bond", "lowest_possible": "bond", "firm": False}
    assert (size.pointer, size.subject, size.outcome, size.worst_case) == ("/main_bond_size", "", "size", None)
    assert size.said() == {"lowest": 4, "highest": 10, "provisional": None, "firm": False}


def test_what_has_reasons_and_neither_level_nor_size_is_never_passed_over() -> None:
    with pytest.raises(RecordBroken, match="neither level nor size at /parts/0/verdicts/0"):
        list(judged_in(content_of(in_form(1, "bond")), 2))


@pytest.mark.parametrize("form", LEVELS)
def test_reasons_and_questions_stand_with_their_verdict_in_every_form(form: int) -> None:
    asked = {"fact": "hidden", "ask": "Is any hidden?", "pointer": "/services/0"}
    answer = json.loads(in_form(form, "bond"))
    if form < WITH_TABLES:
        answer["parts"][0]["verdicts"][0]["questions"] = [asked]
    else:
        answer |= {"questions": [asked | {"code": "ask.hidden"}]}
        answer["verdicts"][0]["questions"] = [0]

    verdict, _ = judged_in(content_of(json.dumps(answer).encode()), form)

    assert verdict.questions == [asked]
    assert [(one["rule"], one["pack_id"], one["clause"]) for one in verdict.because] == [("r", "tests-2026-r1", "1.1")]


@pytest.mark.parametrize(
    ("place", "wrong"),
    [(("parts", 0, "verdicts", 0), 7), (("main_bond_size",), "0"), (("verdicts", 0, "because", 0), 9), (("verdicts",), 3)],
)
def test_an_answer_that_points_to_what_it_does_not_have_is_broken(place: tuple[str | int, ...], wrong: object) -> None:
    answer = json.loads(in_form(4, "bond"))
    *way, last = place
    held = answer
    for step in way:
        held = held[step]
    held[last] = wrong

    with pytest.raises(RecordBroken, match="points to what it does not have"):
        content_of(json.dumps(answer).encode())


def test_the_same_verdict_is_found_by_the_same_marks_in_every_form() -> None:
    found = {marks_of(in_form(form, "bond", act_on="not_shown")) for form in LEVELS}

    assert [marks.levels for marks in found] == [(("main", "bond"),)]


@pytest.mark.parametrize("was", LEVELS)
@pytest.mark.parametrize("now", LEVELS)
def test_only_another_worst_case_or_size_is_a_change_whatever_the_forms(was: int, now: int) -> None:
    kept = in_form(was, "ask", size=(4, 10))

    assert changes(kept, in_form(now, "ask", act_on="not_shown", size=(4, 10)), LADDERS) == ()
    assert changes(kept, in_form(now, "bond", act_on="ask", size=(6, 10)), LADDERS) == (
        Change("gas", "main", "raised", "ask", "bond"),
        Change("", "size", "raised", "4 to 10", "6 to 10"),
    )


def test_a_record_in_a_form_that_is_not_known_is_not_taken_for_one_that_says_little(store: RecordStore) -> None:
    unknown = new_record("a", evaluation_bytes=in_form(2, "bond").replace(b'{"form":2,', b'{"form":5,', 1))

    with pytest.raises(RecordBroken, match="the answer is of form 5; this service reads 1 to 4"):
        store.append(unknown, PACK_TEXT)

    assert store.find("local", Search(), None, 1) == ()


def test_answers_of_every_form_stand_in_one_store_and_are_found_alike(store: RecordStore) -> None:
    for form in LEVELS:
        store.append(new_record(f"e{form}", evaluation_bytes=in_form(form, "bond", act_on="not_shown")), PACK_TEXT)

    found = {level: store.find("local", Search(level=("main", level)), None, 9) for level in ("bond", "not_shown")}

    assert {level: [one.evaluation_id for one in some] for level, some in found.items()} == {
        "bond": [f"e{form}" for form in LEVELS],
        "not_shown": [],
    }
