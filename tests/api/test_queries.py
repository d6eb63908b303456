"""The query of every operation, found by walking the OpenAPI document: what is unknown, wrong or repeated in it is refused at its place."""

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import HOUSE, JSON

from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright

WRONG = {
    "outcome": None,
    "worst_case": None,
    "reference": None,
    "pack": None,
    "rule": None,
    "clause": None,
    "recorded_from": "2026-02-31",
    "recorded_to": "tomorrow",
    "rests_on_withdrawn": "no",
    "limit": "0",
    "after": "x",
    "why": "",
    "whole": "no",
}
"""For each parameter a value that it does not take; none, where any text may be meant."""
UNDOCUMENTED = [("get", "/problems"), ("get", "/problems/not-json")]


@pytest.fixture
def operations(client: TestClient) -> list[tuple[str, str, dict[str, Any]]]:
    """Method, path and declaration of every operation; parts of a path that vary are filled in."""
    return list(_operations(client.get("/openapi.json").json()))


def _operations(document: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, declared in document["paths"].items():
        for method, operation in declared.items():
            yield method, path.replace("{", "").replace("}", ""), operation


def taken(operation: dict[str, Any]) -> list[str]:
    """The names of its query that an operation declares."""
    return [one["name"] for one in operation.get("parameters", []) if one["in"] == "query"]


def answered(client: TestClient, method: str, path: str, query: str) -> tuple[int, str, list[str]]:
    """Status, media type and places of the faults that an operation answers."""
    content = HOUSE if method == "post" else None
    answer = client.request(method, f"{path}?{query}", content=content, headers=JSON if content else {})
    kind = answer.headers["content-type"]
    return answer.status_code, kind, [error["pointer"] for error in answer.json()["errors"]] if kind == MEDIA_TYPE else []


@pytest.mark.parametrize("query", ["no_such_name=1", "no_such_name", "=", "no_such_name=1&no_such_name=2", "no%20such=%00"])
def test_an_unknown_name_is_refused_by_every_operation(
    client: TestClient, operations: list[tuple[str, str, dict[str, Any]]], query: str
) -> None:
    asked = [(method, path) for method, path, _ in operations] + UNDOCUMENTED

    found = {(method, path): answered(client, method, path, query) for method, path in asked}

    assert len(found) > 30
    assert {place: answer for place, answer in found.items() if answer != (422, MEDIA_TYPE, [""])} == {}


def test_a_name_that_another_method_of_the_path_takes_is_refused_too(client: TestClient) -> None:
    assert answered(client, "post", "/v1/evaluations", "limit=20") == (422, MEDIA_TYPE, [""])


def test_a_refused_query_says_what_to_leave_out(client: TestClient) -> None:
    (fault,) = client.get("/v1/rule-packs?page=2").json()["errors"]

    assert fault["detail"] == "nothing is asked here by a query; leave out the question mark and what follows it"


def test_nothing_is_recorded_of_a_request_with_an_unknown_name(client: TestClient, bondwright: Bondwright) -> None:
    client.post("/v1/evaluations?dry_run=yes", content=HOUSE, headers=JSON)

    assert bondwright.tenants() == {}


def test_every_declared_name_refuses_what_it_does_not_take_and_to_be_given_twice(
    client: TestClient, operations: list[tuple[str, str, dict[str, Any]]]
) -> None:
    asked = [(method, path, name) for method, path, operation in operations for name in taken(operation)]

    wrong = {(path, name): answered(client, method, path, f"{name}={WRONG[name]}") for method, path, name in asked if WRONG[name]}
    twice = {(path, name): answered(client, method, path, f"{name}=a&{name}=a") for method, path, name in asked}

    assert sorted(name for _, _, name in asked) == sorted(WRONG)
    assert wrong == {place: (422, MEDIA_TYPE, [f"/{place[1]}"]) for place in wrong}
    assert twice == {place: (422, MEDIA_TYPE, [f"/{place[1]}"]) for place in twice}


def test_every_operation_declares_that_it_may_refuse_a_query(operations: list[tuple[str, str, dict[str, Any]]]) -> None:
    assert [path for _, path, operation in operations if "422" not in operation["responses"]] == []


@pytest.mark.parametrize("path", ["/livez?", "/livez?&", "/v1/rule-packs?"])
def test_a_question_mark_with_nothing_behind_is_no_query(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 200


@pytest.mark.parametrize("year", [1, 4, 100, 400, 1900, 1999, 2000, 2026, 2028, 2100, 9999])
def test_the_document_admits_just_the_days_that_the_calendar_has(client: TestClient, year: int) -> None:
    operation = client.get("/openapi.json").json()["paths"]["/v1/evaluations"]["get"]
    pattern = next(one["schema"]["pattern"] for one in operation["parameters"] if one["name"] == "recorded_from")

    admitted = [day for month in range(14) for number in range(33) if re.fullmatch(pattern, day := f"{year:04}-{month:02}-{number:02}")]

    first = date(year, 1, 1).toordinal()
    assert admitted == [date.fromordinal(one).isoformat() for one in range(first, date(year, 12, 31).toordinal() + 1)]


def test_the_document_admits_no_day_before_the_first_year(client: TestClient) -> None:
    operation = client.get("/openapi.json").json()["paths"]["/v1/evaluations"]["get"]
    patterns = {one["schema"]["pattern"] for one in operation["parameters"] if one["name"].startswith("recorded_")}

    assert [day for pattern in patterns for day in ("0000-01-01", "0000-02-29") if re.fullmatch(pattern, day)] == []
