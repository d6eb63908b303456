"""Documents on which two readers could differ are refused, and the refusal says where and what would be right."""

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described

WORK = b'{"work": {"kind": "inspection", "inspected_on": "2026-11-25"}'


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b'{"work": 1, "work": 2}', "line 1, column 20: this key is given twice"),
        (WORK + b', "supply": {"a": 1, "\\u0061": 1}}', "this key is given twice"),
        (b"\xef\xbb\xbf" + HOUSE, "byte-order mark"),
        (HOUSE.decode().encode("utf-16"), "byte-order mark"),
        (HOUSE.decode().encode("utf-32"), "byte-order mark"),
        (HOUSE.decode().encode("utf-16-be"), "JSON value"),
        (HOUSE.decode().encode("utf-32-le"), "not JSON"),
        (WORK + ', "reference": "é"}'.encode("latin-1"), "not UTF-8 text"),
        (WORK + b', "reference": "\xc0\xaf"}', "not UTF-8 text"),
        (WORK + b', "reference": "\xed\xa0\x80"}', "not UTF-8 text"),
        (WORK + b', "reference": "\\ud800"}', "half of a surrogate pair"),
        (WORK + b', "reference": "\\udc00\\ud800"}', "half of a surrogate pair"),
        (WORK + b', "reference": "\n"}', "control character"),
        (WORK + b', "a": NaN}', "NaN"),
        (WORK + b', "a": Infinity}', "NaN, Infinity"),
        (WORK + b', "a": -Infinity}', "not a number"),
        (WORK + b', "a": 1' + b"0" * 5000 + b"}", "far too many digits"),
        (WORK + b', "a": 01}', "not a number"),
        (WORK + b', "a": +1}', "JSON value"),
        (WORK + b', "a": .5}', "JSON value"),
        (WORK + b', "a": 1.}', "not a number"),
        (WORK + b', "a": ' + b"[" * 100_000 + b"]" * 100_000 + b"}", "nested too deeply"),
        (WORK + b', "a": ' + b'{"a":' * 100_000, "nested too deeply"),
        (WORK + b",}", "comma with nothing after"),
        (WORK + b"} // comment", "something follows"),
        (WORK + b"}" + WORK + b"}", "something follows"),
        (WORK + b"}\x00", "something follows"),
        (WORK, "ends too early"),
        (b"", "ends too early"),
        (b"\x1f\x8b\x08\x00\x00", "JSON"),
    ],
)
def test_what_two_readers_could_read_differently_is_refused(client: TestClient, raw: bytes, says: str) -> None:
    answer = client.post(EVALUATIONS, content=raw, headers=JSON)

    assert (answer.status_code, [error["pointer"] for error in answer.json()["errors"]]) == (400, [""])
    assert says in answer.json()["errors"][0]["detail"]


@pytest.mark.parametrize(
    "number", [b"1e400", b"-1e400", b"1e-400", b"123456789012345678901234567890", b"-0.0", b'"100"', b"true", b"[100]"]
)
def test_a_number_that_is_none_here_is_refused_at_its_place(client: TestClient, number: bytes) -> None:
    raw = described(supply={"cut_out_rating_a": 100}).replace(b"100", number)

    answer = client.post(EVALUATIONS, content=raw, headers=JSON)

    assert answer.status_code == 422
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == "/supply/cut_out_rating_a"
    assert fault["detail"].startswith("write a number from 0.1 to 6300, in A, or `unknown`")


def test_a_number_may_be_written_in_any_way_that_json_has(client: TestClient) -> None:
    described_as = [described(supply={"cut_out_rating_a": 100}).replace(b"100", number) for number in (b"100", b"100.0", b"1e2", b"1.0E+2")]

    evaluations = [client.post(EVALUATIONS, content=raw, headers=JSON).json()["evaluation"] for raw in described_as]

    assert [evaluation for evaluation in evaluations if evaluation != evaluations[0]] == []
