"""Schemathesis over the whole API: generated requests, right and wrong, alone and linked, under all its checks."""

import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.generation import GenerationMode
from tests.api.builders import EVALUATIONS, OURS, bearer, keyring, service

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.shelf.packs import published_packs, rules_folder

CALM = settings(deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))

# Schemathesis names a test per operation while tests are collected, so the application must be there by then.
FOLDER = tempfile.TemporaryDirectory()
BONDWRIGHT = service(published_packs(rules_folder()), Path(FOLDER.name) / "record.sqlite")
KEYS = keyring(Path(FOLDER.name) / "record.sqlite")
HEADERS = bearer(KEYS.create(OURS, SCOPES)[0])
API = schemathesis.openapi.from_asgi("/openapi.json", create_app(BONDWRIGHT, KEYS))


@pytest.fixture(scope="module", autouse=True)
def closed_at_the_end() -> Iterator[None]:
    """Closes the service and removes its record."""
    yield
    KEYS.close()
    BONDWRIGHT.close()
    FOLDER.cleanup()


@API.parametrize()
@settings(CALM, max_examples=30)
def test_every_operation_keeps_its_promises(case: schemathesis.Case[Any]) -> None:
    case.call_and_validate(headers=HEADERS)


def test_linked_operations_keep_their_promises() -> None:
    class Linked(API.as_state_machine()):  # type: ignore[misc]  # made at run time
        def get_call_kwargs(self, _case: schemathesis.Case[Any]) -> dict[str, Any]:
            return {"headers": HEADERS}

    machine = Linked

    machine.run(settings=settings(CALM, max_examples=30, stateful_step_count=4))


def test_most_descriptions_that_fit_the_schema_reach_an_evaluation() -> None:
    statuses: Counter[int] = Counter()

    @settings(CALM, max_examples=200)
    @given(case=API[EVALUATIONS]["POST"].as_strategy(generation_mode=GenerationMode.POSITIVE))
    def post(case: schemathesis.Case[Any]) -> None:
        assert isinstance(case.body, dict)
        case.body.pop("rule_pack", None)  # a name made up at random is no pack's, and refused for that alone
        case.headers.pop("Idempotency-Key", None)  # drawn more than once, and refused with another description for that alone
        statuses[case.call_and_validate(headers=HEADERS).status_code] += 1

    post()

    assert statuses.total() >= 200
    assert statuses[201] >= 0.8 * statuses.total(), statuses
