"""Reading a description: what is refused, where the fault is said to be, and what it says."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from tests.described import read, terms

from bondwright.errors import Contradiction, NotJson, NotTheSchema, Refused
from bondwright.installation.description import Installation
from bondwright.installation.documents import LONGEST_KEY, MOST_FAULTS
from bondwright.installation.shapes import validator

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
CANARY = "canary-7f3"
HOUSE = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "house.request.json").read_bytes())
WRITTEN = ["null", "true", "0", "-0.0", "7", "1e308", "1" + "0" * 400, '""', '"7"', '"unknown"', '"2026-11-25"', "[]", "{}", "[[]]", "[{}]"]


def described(**parts: Any) -> bytes:
    """A description as bytes, its work filled in."""
    return json.dumps({"work": WORK, **parts}).encode()


def faults_of(raw: bytes, kind: type[Refused] = NotTheSchema) -> dict[str, str]:
    """Detail by pointer of what is wrong with `raw`."""
    with pytest.raises(kind) as refusal:
        read(raw)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def places(value: Any, place: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The place of every value in `value`, itself first."""
    yield place
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, inner in members:
        yield from places(inner, (*place, step))


def replaced(value: Any, place: tuple[str | int, ...], by: object) -> Any:
    """`value` with `by` at that place."""
    if not place:
        return by
    members = value.items() if isinstance(value, dict) else enumerate(value)
    changed = {step: replaced(inner, place[1:], by) if step == place[0] else inner for step, inner in members}
    return changed if isinstance(value, dict) else list(changed.values())


def read_or_refused(raw: bytes) -> object:
    """The description, or the members of the document in which something is refused."""
    try:
        return read(raw)
    except NotTheSchema as refusal:
        return {fault.pointer.split("/")[1] for fault in refusal.faults if fault.pointer}


def test_a_description_of_the_work_alone_is_read() -> None:
    installation = read(described())

    assert installation == validator(Installation, terms()).validate_json(described())


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b'{"a": 1, "a": 2}', "given twice"),
        (b'{"a": 1, "\\u0061": 2}', "given twice"),
        (b'{"a": [{"b": 1, "b": 1}]}', "given twice"),
        (b"\xef\xbb\xbf{}", "byte-order mark"),
        ('{"a": 1}'.encode("utf-16"), "byte-order mark"),
        ('{"a": 1}'.encode("utf-16-le"), "not JSON"),
        (b'{"a": NaN}', "NaN"),
        (b'{"a": -Infinity}', "not a number"),
        (b'{"a": "\xff"}', "UTF-8"),
        (b'{"a": "\\ud800"}', "surrogate"),
        (b"[" * 1000, "nested"),
        (b"{} {}", "one document"),
        (b"", "ends too early"),
        (b'{"a": ', "ends too early"),
        (b'{"a": 1' + b"0" * 5000 + b"}", "digits"),
        (b"{'a': 1}", "not JSON"),
    ],
)
def test_what_is_not_one_json_document_is_refused(raw: bytes, says: str) -> None:
    faults = faults_of(raw, NotJson)

    assert list(faults) == [""]
    assert says in faults[""]


def test_a_fault_of_the_json_names_line_and_column() -> None:
    faults = faults_of(b'{\n  "a": 1,\n  "a": 2\n}', NotJson)

    assert faults[""].startswith("line 3, column ")


@pytest.mark.parametrize(
    ("document", "pointer", "says"),
    [
        ({}, "/work", "needed: write an object"),
        ({"work": {}}, "/work/kind", "needed: write one of `new_installation`"),
        ({"work": {"kind": "visit"}}, "/work/kind", "write one of `new_installation`"),
        ({"work": {"kind": ["inspection"]}}, "/work/kind", "write one of `new_installation`"),
        ({"work": {"kind": "inspection"}}, "/work/inspected_on", "needed: write a day such as `2026-11-25`"),
        ({"work": {"kind": "inspection", "inspected_on": "25/11/2026"}}, "/work/inspected_on", "write a day such as `2026-11-25`"),
        ({"work": {"kind": "inspection", "inspected_on": None}}, "/work/inspected_on", "null says nothing: write a day such as"),
        ({"work": 3}, "/work", "write an object"),
        ([], "", "write an object"),
    ],
)
def test_a_fault_of_the_work_names_its_place(document: object, pointer: str, says: str) -> None:
    faults = faults_of(json.dumps(document).encode())

    assert list(faults) == [pointer]
    assert faults[pointer].startswith(says)


@pytest.mark.parametrize(
    ("parts", "pointer", "detail"),
    [
        ({"supply": {"cut_out_rating_a": None}}, "/supply/cut_out_rating_a", "null says nothing: write `unknown`, or leave the key out"),
        ({"services": None}, "/services", "null says nothing: write a list of at most 50"),
        ({"supply": {"cut_out_rating_a": "100"}}, "/supply/cut_out_rating_a", "write a number from 0.1 to 6300, in A, or `unknown`"),
        ({"supply": {"cut_out_rating_a": True}}, "/supply/cut_out_rating_a", "write a number from 0.1 to 6300, in A, or `unknown`"),
        ({"items": [{"kind": "tap", "count": 0}]}, "/items/0/count", "write a number from 1 to 1000"),
        ({"survey_complete": "maybe"}, "/survey_complete", "write one of `yes`, `no`, `unknown`"),
        ({"locations": [{"kind": "cellar"}]}, "/locations/0/kind", "write one of `ordinary_room`, `bath_or_shower`, `pool_or_fountain`"),
        (
            {"services": [{"kind": "water", "insulating_section": {"length_m": -1}}]},
            "/services/0/insulating_section/length_m",
            "write a number from 0 to 10000, in m, or `unknown`",
        ),
        (
            {"services": [{"kind": "water", "insulating_section": 3}]},
            "/services/0/insulating_section",
            "write an object, or one of `none`, `unknown`",
        ),
        (
            {"services": [{"kind": "gas", "bonds": [{"on": "entering_pipe"}, {"on": "entering_pipe", "size": 0}]}]},
            "/services/0/bonds/1/size",
            "write a number from 0.1 to 1000, in mm², or one of `7/.029`, `7/.036`, `7/.044`, `7/.052`, `7/.064`, `unknown`",
        ),
        ({"services": [{"kind": "gas", "bonds": "none"}]}, "/services/0/bonds", "write a list of at most 20, or `unknown`"),
        ({"detailed_services": [{"kind": "gas", "sections": []}]}, "/detailed_services/0/sections", "write a list of 1 to 30"),
        (
            {"detailed_services": [{"kind": "gas", "sections": [{"traced": 1}]}]},
            "/detailed_services/0/sections/0/traced",
            "write one of `yes`, `no`, `unknown`",
        ),
        (
            {"items": [{"kind": "tap", "id": "a b"}]},
            "/items/0/id",
            "write text such as `kitchen-water`: letters, digits, dot, underscore and hyphen, a letter or digit first, 40 at most",
        ),
        ({"services": [{"kind": "gas", "enters_az": "steel"}]}, "/services/0/enters_az", "unknown key; did you mean `enters_as`?"),
        ({"supply/~": {}}, "/supply~1~0", "unknown key; did you mean `supply`?"),
        ({"a/b~c": 1}, "", "holds an unknown key; known here are `reference`, `work`, `premises`, `supply`"),
        ({"": 1}, "", "holds an unknown key; known here are `reference`, `work`, `premises`, `supply`"),
    ],
)
def test_a_fault_names_its_place_and_what_would_be_right(parts: dict[str, Any], pointer: str, detail: str) -> None:
    faults = faults_of(described(**parts))

    assert list(faults) == [pointer]
    assert faults[pointer].startswith(detail)


@pytest.mark.parametrize("written", [b"1e400", b"1" + b"0" * 400, b"-1" + b"0" * 400])
def test_a_number_beyond_all_bounds_is_refused_at_its_place(written: bytes) -> None:
    faults = faults_of(described(supply={"cut_out_rating_a": 7}).replace(b"7}", written + b"}"))

    assert faults == {"/supply/cut_out_rating_a": "write a number from 0.1 to 6300, in A, or `unknown`"}


def test_a_key_called_like_a_branch_of_a_union_does_not_lead_astray() -> None:
    work = {"kind": "inspection", "inspection": {"inspected_on": 3}, "inspected_on": "never"}

    faults = faults_of(json.dumps({"work": work}).encode())

    assert list(faults) == ["/work/inspected_on", "/work/inspection"]


@pytest.mark.parametrize("written", WRITTEN)
def test_a_document_is_read_as_the_library_reads_it_from_the_bytes(written: str) -> None:
    """Judged by pydantic's own reading of JSON, which parses the bytes once more and knows no Python value."""
    for place in places(HOUSE):
        raw = json.dumps(replaced(HOUSE, place, CANARY)).replace(f'"{CANARY}"', written).encode()

        try:
            expected: object = validator(Installation, terms()).validate_json(raw)
        except ValidationError as error:
            expected = {step for wrong in error.errors() for step in wrong["loc"][:1]}

        assert (place, expected) == (place, read_or_refused(raw))


def test_faults_stand_in_the_order_of_their_places() -> None:
    items: list[dict[str, Any]] = [{"kind": "tap"} for _ in range(12)]
    items[10] = items[2] = {"kind": "tap", "count": 0}

    faults = faults_of(described(items=items, supply=3))

    assert list(faults) == ["/items/2/count", "/items/10/count", "/supply"]


def test_a_very_long_unknown_key_is_pointed_at_by_its_object() -> None:
    faults = faults_of(described(supply={"x" * (LONGEST_KEY + 1): 1}))

    assert list(faults) == ["/supply"]
    assert "xx" not in faults["/supply"]


def test_no_refusal_lists_more_faults_than_the_limit() -> None:
    faults = faults_of(json.dumps({f"supply{number}": 1 for number in range(3 * MOST_FAULTS)}).encode())

    assert len(faults) == MOST_FAULTS + 1
    assert faults[""] == "more faults follow that are not listed"


SECTIONS = [{"id": "a"}, {"branches": [{"sections": [{"id": "a"}]}]}]


@pytest.mark.parametrize(
    ("parts", "second", "first"),
    [
        ({"services": [{"kind": "gas", "id": "a"}], "items": [{"kind": "tap", "id": "a"}]}, "/items/0/id", "/services/0"),
        ({"items": [{"kind": "tap", "id": "a"}], "locations": [{"kind": "bath_or_shower", "id": "a"}]}, "/locations/0/id", "/items/0"),
        (
            {"locations": [{"kind": "bath_or_shower", "items": [{"kind": "tap", "id": "a"}, {"kind": "bath", "id": "a"}]}]},
            "/locations/0/items/1/id",
            "/locations/0/items/0",
        ),
        ({"items": [{"kind": "tap", "bonds": [{"id": "a"}, {"id": "a"}]}]}, "/items/0/bonds/1/id", "/items/0/bonds/0"),
        (
            {"detailed_services": [{"kind": "gas", "sections": SECTIONS}]},
            "/detailed_services/0/sections/1/branches/0/sections/0/id",
            "/detailed_services/0/sections/0",
        ),
    ],
)
def test_one_id_for_two_things_of_a_kind_contradicts_itself(parts: dict[str, Any], second: str, first: str) -> None:
    faults = faults_of(described(**parts), Contradiction)

    assert faults == {second: f"{first} has this id; give each its own, or leave it out"}


def test_things_of_different_kinds_may_share_an_id() -> None:
    service = {"kind": "gas", "id": "a", "sections": [{"id": "a", "bonds": [{"id": "a"}], "measurements": [{"id": "a"}]}]}
    room = {"kind": "bath_or_shower", "circuits": [{"id": "a"}]}
    other_room = {"kind": "bath_or_shower", "circuits": [{"id": "a"}]}
    other_service = {"kind": "gas", "id": "b", "sections": [{"id": "a"}]}

    installation = read(described(detailed_services=[service, other_service], locations=[room, other_room]))

    assert len(installation.detailed_services) == 2


def _with_canary(value: object) -> list[object]:
    """Copies of `value`, each with the canary, or something that holds it, in another place."""
    copies: list[object] = [CANARY, [CANARY], {"kind": CANARY}]
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, member in inner:
        for changed in _with_canary(member):
            copy = value.copy()  # type: ignore[attr-defined]  # it has members, so it is a dict or a list
            copy[key] = changed
            copies.append(copy)
    return copies


FULL = {
    "work": WORK,
    "supply": {"neutral": {"size": 25, "material": "copper"}, "cut_out_rating_a": 100},
    "services": [
        {
            "kind": "water",
            "id": "w",
            "joined_to": ["gas"],
            "insulating_section": {"bore_mm": 20},
            "bonds": [{"on": "entering_pipe", "size": 10}],
            "measurements": [{"on": "entering_pipe", "reading": "1 ohm"}],
        }
    ],
    "detailed_services": [{"kind": "oil", "sections": [{"branches": [{"sections": [{"length_m": 1}]}]}]}],
    "locations": [{"kind": "bath_or_shower", "items": [{"kind": "tap", "count": 2}], "circuits": [{"device": {"rated_a": 6}}]}],
}


def test_no_fault_repeats_what_the_caller_wrote() -> None:
    documents = [json.dumps(copy).encode() for copy in _with_canary(FULL)]

    refusals = [fault.detail for raw in documents for fault in _faults(raw)]

    assert len(refusals) > 50
    assert [detail for detail in refusals if CANARY in detail] == []


def _faults(raw: bytes) -> list[Any]:
    try:
        read(raw)
    except Refused as refusal:
        assert refusal.__context__ is None, "the chain of errors carries the caller's values"
        return list(refusal.faults)
    return []


words = st.sampled_from(
    [CANARY, "kind", "work", "services", "items", "sections", "inspection", "unknown", "id", "bonds", "InsulatingSection"]
)
documents = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | words,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=4),
    max_leaves=12,
)


@given(documents)
def test_every_fault_points_into_the_received_document(document: object) -> None:
    pointers = [fault.pointer for fault in _faults(json.dumps(document).encode())]

    assert all(_has(document, pointer.split("/")[1:]) for pointer in pointers)


def _has(value: Any, steps: list[str]) -> bool:
    """Whether the steps lead into `value`; the last one may be missing from an object."""
    if not steps:
        return True
    if isinstance(value, list):
        return _has(value[int(steps[0])], steps[1:])
    return isinstance(value, dict) and (_has(value[steps[0]], steps[1:]) if steps[0] in value else len(steps) == 1)
