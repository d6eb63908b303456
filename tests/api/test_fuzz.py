"""Schemathesis over the whole API: generated requests, right and wrong, alone and linked, of two tenants, under all its checks."""

import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.api.builders import EVALUATIONS, OURS, THEIRS
from tests.api.fuzzing.report import PHASES, Report, Sent
from tests.api.fuzzing.run import fuzz
from tests.api.fuzzing.subject import subject
from tests.api.keep_documents import OPENAPI
from tests.audit.conftest import laid_out
from tests.counted import COUNTED
from tests.postgresql_server import PostgresqlServer

from bondwright.rulebook.pack import PackHead

CHECKS = {
    "allow_header_conformance",
    "content_type_conformance",
    "ensure_resource_availability",
    "ignored_auth",
    "missing_required_header",
    "negative_data_rejection",
    "not_a_server_error",
    "object_level_authorization",
    "positive_data_acceptance",
    "response_headers_conformance",
    "response_schema_conformance",
    "status_code_conformance",
    "unsupported_method",
    "use_after_free",
}
OF_ONE_EVALUATION = {
    f"GET {EVALUATIONS}/{{evaluation_id}}",
    f"GET {EVALUATIONS}/{{evaluation_id}}/outline",
    f"GET {EVALUATIONS}/{{evaluation_id}}/record",
}
OPERATIONS: dict[str, dict[str, Any]] = {
    f"{method.upper()} {path}": operation
    for path, methods in json.loads((OPENAPI / "openapi.json").read_bytes())["paths"].items()
    for method, operation in methods.items()
}


@pytest.fixture(scope="module")
def report(packs: tuple[PackHead, ...], tmp_path_factory: pytest.TempPathFactory) -> Report:
    """What schemathesis did and found."""
    folder = tmp_path_factory.mktemp("fuzz")
    with subject(packs, folder) as (app, keys):
        return fuzz(app, keys, folder)


def test_every_operation_keeps_its_promises(report: Report) -> None:
    assert (report.status, report.found, report.passed) == (0, frozenset(), PHASES), report.said


def test_no_answer_is_a_fault_of_the_service(report: Report, record_property: Callable[[str, object], None]) -> None:
    record_property(COUNTED, ("requests of the fuzz", len(report.sent)))

    assert [one for one in report.sent if one.status is None or one.status >= 500] == []


def test_every_check_had_its_say(report: Report) -> None:
    assert {check for check in CHECKS if report.checked[check] < len(report.sent) // 2} == set()


def test_every_operation_that_takes_anything_was_asked_at_least_a_hundred_times(report: Report) -> None:
    asked = Counter(one.operation for one in report.sent)
    takes = ("parameters", "requestBody", "security")
    fewest = {name: 100 if any(map(operation.get, takes)) else 1 for name, operation in OPERATIONS.items()}

    assert [name for name, times in fewest.items() if asked[name] < times] == []
    assert report.operations == len(OPERATIONS)


def test_every_operation_gave_what_it_is_for(report: Report) -> None:
    gave = {one.operation for one in report.sent if one.is_fulfilled}

    assert set(OPERATIONS) - gave == set()


def test_one_tenant_asked_in_vain_for_what_another_had_recorded(report: Report) -> None:
    statuses: dict[str, set[int | None]] = {operation: set() for operation in OF_ONE_EVALUATION}

    for one in report.sent:
        if one.operation in OF_ONE_EVALUATION and one.identity == THEIRS and was_fulfilled_for(OURS, one.after):
            statuses[one.operation].add(one.status)

    assert statuses == {operation: {404} for operation in OF_ONE_EVALUATION}


def test_every_operation_that_asks_for_a_key_was_tried_without_one(report: Report) -> None:
    secured = {name for name, operation in OPERATIONS.items() if operation["security"]}

    refused = {one.operation for one in report.sent if one.identity is None and one.status == 401 and was_fulfilled_for(OURS, one.after)}

    assert secured - refused == set()


def test_most_requests_that_fit_the_schema_reach_an_evaluation(report: Report) -> None:
    asked = [one for one in report.sent if one.operation == f"POST {EVALUATIONS}" and one.mode == "positive" and one.identity == OURS]

    statuses = Counter(one.status for one in asked)

    assert statuses.total() >= 1000
    assert statuses[201] >= 0.8 * statuses.total(), statuses


def test_linked_operations_keep_their_promises_over_postgresql(
    packs: tuple[PackHead, ...], server: PostgresqlServer, tmp_path: Path
) -> None:
    database = laid_out(server)

    with subject(packs, tmp_path, database=database, owner=server.as_owner(database)) as (app, keys):
        report = fuzz(app, keys, tmp_path, "--phases=stateful", "--max-examples=30")

    assert (report.status, report.found) == (0, frozenset()), report.said
    assert {one.operation for one in report.sent if one.is_fulfilled} >= OF_ONE_EVALUATION


def was_fulfilled_for(tenant: str, sent: Sent | None) -> bool:
    """Whether a request showed the key of that tenant and got what it asked for."""
    return sent is not None and sent.identity == tenant and sent.is_fulfilled
