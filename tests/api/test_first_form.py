"""Answers of form 1 are served over HTTP as they were answered, in a shape that the document declares."""

import hashlib
import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, OURS, bearer, evaluation_in, keyring, service
from tests.audit.form_1.records import HERON, TERN, kept_in, record_file
from tests.declared import declared

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.audit.record import Record
from bondwright.compose.answer import FORM
from bondwright.rulebook.pack import PackHead


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A copy of the record file of form 1."""
    return record_file(tmp_path)


@pytest.fixture
def kept(file: Path) -> tuple[Record, ...]:
    """Every record in it."""
    return kept_in(file, HERON, TERN)


@pytest.fixture
def clients(packs: tuple[PackHead, ...], file: Path) -> Iterator[dict[str, TestClient]]:
    """Asks the service over that file, by tenant."""
    with closing(service(packs, file)) as bondwright, closing(keyring(file)) as keys:
        app = create_app(bondwright, keys)
        yield {
            tenant: TestClient(app, headers=bearer(keys.create(tenant, SCOPES)[0]), raise_server_exceptions=False)
            for tenant in (HERON, TERN, OURS)
        }


def test_answers_of_form_1_are_served_byte_for_byte(clients: dict[str, TestClient], kept: tuple[Record, ...]) -> None:
    for record in kept:
        answer = clients[record.tenant].get(f"{EVALUATIONS}/{record.evaluation_id}")

        assert answer.status_code == 200
        assert evaluation_in(answer.content) == record.evaluation_bytes
        assert hashlib.sha256(evaluation_in(answer.content)).hexdigest() == record.evaluation_digest
        assert "form" not in answer.json()["evaluation"]
    assert len(kept) == 9


def test_the_document_declares_what_answers_of_either_form_look_like(clients: dict[str, TestClient], kept: tuple[Record, ...]) -> None:
    now = clients[OURS].post(EVALUATIONS, content=HOUSE, headers={"content-type": "application/json"}).json()
    then = [clients[record.tenant].get(f"{EVALUATIONS}/{record.evaluation_id}").json() for record in kept]

    told = [list(declared("RecordedEvaluation").iter_errors(answer)) for answer in (now, *then)]

    assert told == [[]] * 10
    assert now["evaluation"]["form"] == FORM


def test_an_answer_of_an_earlier_form_is_told_by_its_form_alone(clients: dict[str, TestClient], kept: tuple[Record, ...]) -> None:
    now = clients[OURS].post(EVALUATIONS, content=HOUSE, headers={"content-type": "application/json"}).json()["evaluation"]
    then = json.loads(kept[0].evaluation_bytes)

    fits = {name: [declared(name).is_valid(answer) for answer in (now, then)] for name in ("Evaluation", "EarlierEvaluation")}

    assert fits == {"Evaluation": [True, False], "EarlierEvaluation": [False, True]}


def test_the_whole_record_of_an_answer_of_form_1_can_be_read(clients: dict[str, TestClient], kept: tuple[Record, ...]) -> None:
    for record in kept:
        told = clients[record.tenant].get(f"{EVALUATIONS}/{record.evaluation_id}/record")

        assert list(declared("RecordInFull").iter_errors(told.json())) == []
        assert (evaluation_in(told.content), told.json()["evaluation_digest"]) == (record.evaluation_bytes, record.evaluation_digest)


def test_an_answer_of_form_1_is_found_by_its_worst_case_like_any_other(clients: dict[str, TestClient], kept: tuple[Record, ...]) -> None:
    wanted = {"outcome": "bond_connection", "worst_case": "does_not_connect"}
    unmeasured = json.loads(kept[1].input_bytes)
    clients[HERON].post(EVALUATIONS, json=unmeasured)

    found = clients[HERON].get(EVALUATIONS, params=wanted).json()["evaluations"]

    assert [(one["counter"], one["reference"]) for one in found] == [(2, unmeasured["reference"]), (7, unmeasured["reference"])]
