"""Spans for OpenTelemetry: what was done, by route and status, and nothing of what was asked."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

MARK = "Zaunmark"


@pytest.fixture(scope="module")
def traced(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """What became of a few requests in a process that keeps its spans."""
    command = [sys.executable, "-m", "tests.api.traced_requests", str(tmp_path_factory.mktemp("traced")), MARK]
    done = subprocess.run(command, capture_output=True, check=False, timeout=300, cwd=Path(__file__).parents[2])
    assert done.returncode == 0, done.stderr.decode()
    return json.loads(done.stdout)


def requests(traced: Any) -> list[Any]:
    """The spans of whole requests, in the order of the requests."""
    return [span for span in traced["spans"] if span["kind"] == "SpanKind.SERVER"]


def test_a_request_makes_a_span_with_its_route_and_status(traced: Any) -> None:
    told = [(span["name"], span["attributes"]["http.response.status_code"]) for span in requests(traced)]

    assert told == [
        ("POST /v1/evaluations", 201),
        ("POST /v1/evaluations", 422),
        ("POST /v1/evaluations", 422),
        ("GET /v1/evaluations", 200),
        ("GET /v1/evaluations", 422),
    ]


def test_evaluating_and_recording_have_spans_of_their_own_inside_that_of_the_request(traced: Any) -> None:
    first = requests(traced)[0]["context"]["trace_id"]

    inside = {span["name"] for span in traced["spans"] if span["context"]["trace_id"] == first}
    assert {"POST /v1/evaluations", "bondwright.evaluate", "bondwright.record"} <= inside


def test_health_checks_and_scrapes_make_no_span(traced: Any) -> None:
    assert traced["statuses"][-2:] == [200, 200]
    assert [span["name"] for span in traced["spans"] if "readyz" in str(span) or "metrics" in str(span)] == []


def test_no_span_tells_anything_of_what_was_sent(traced: Any) -> None:
    assert MARK not in json.dumps(traced["spans"])


def test_the_query_is_hidden_from_the_span_only(traced: Any) -> None:
    assert (traced["found"], [span for span in traced["spans"] if "url.query" in span["attributes"]]) == (1, [])
