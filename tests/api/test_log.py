"""The log: a line of JSON for each request, which says what became of it and nothing of what was asked, or by whom."""

import io
import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described, service

from bondwright.api.app import create_app
from bondwright.api.operating.log import log_as_json
from bondwright.assembly import Bondwright
from bondwright.rulebook.pack import PackHead

MARK = "Zaunmark"


@pytest.fixture
def written() -> Iterator[io.StringIO]:
    """What is logged; the loggers are put back afterwards."""
    root, uvicorn, asking = (logging.getLogger(name) for name in ("", "uvicorn.error", "httpx2"))
    before = (root.handlers[:], root.level, uvicorn.level, asking.level)
    stream = io.StringIO()
    log_as_json(stream)
    asking.setLevel(logging.WARNING)  # the client of these tests tells what it asks
    yield stream
    logging.captureWarnings(False)
    root.handlers[:], root.level, uvicorn.level, asking.level = before


def lines(written: io.StringIO, event: str = "request") -> list[dict[str, Any]]:
    """Each line of that event, read as JSON."""
    told = [json.loads(line) for line in written.getvalue().splitlines()]
    return [line for line in told if line["event"] == event and line["logger"].startswith("bondwright")]


def test_a_request_is_told_in_one_line(client: TestClient, written: io.StringIO) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    (line,) = lines(written)
    for changing in ("time", "seconds", "request_id"):
        assert line.pop(changing)
    assert line == {
        "level": "info",
        "event": "request",
        "logger": "bondwright.requests",
        "method": "POST",
        "route": EVALUATIONS,
        "status": 201,
        "bytes": int(answer.headers["content-length"]),
        "pack_id": answer.headers["rule-pack"],
        "evaluation_id": answer.json()["evaluation_id"],
    }


def test_a_refusal_is_told_by_the_name_of_its_problem(client: TestClient, written: io.StringIO) -> None:
    client.post(EVALUATIONS, content=b"{", headers=JSON)

    assert [(line["status"], line["problem"]) for line in lines(written)] == [(400, "not-json")]


@pytest.mark.parametrize(
    ("path", "route"),
    [
        ("/v1/rule-packs/none", "/v1/rule-packs/{pack_id}"),
        (f"/{MARK}", "unmatched"),
        ("/openapi.json", "documentation"),
        ("/static-offline-docs/swagger-ui.css", "documentation"),
    ],
)
def test_a_path_is_told_by_its_template(path: str, route: str, client: TestClient, written: io.StringIO) -> None:
    client.get(path)

    assert [line["route"] for line in lines(written)] == [route]


def test_health_checks_and_scrapes_are_left_out(client: TestClient, written: io.StringIO) -> None:
    for path in ("/livez", "/readyz", "/metrics"):
        assert client.get(path).status_code == 200

    assert lines(written) == []


def test_nothing_that_was_sent_is_logged(client: TestClient, written: io.StringIO) -> None:
    texts = described(reference=MARK, services=[{"kind": "water", "id": MARK, "comes_from": MARK}])
    sent: list[tuple[str, str, bytes]] = [
        ("POST", f"{EVALUATIONS}?{MARK}={MARK}", described(reference=MARK)),
        ("POST", EVALUATIONS, described(reference=MARK)),
        ("POST", EVALUATIONS, texts),
        ("POST", EVALUATIONS, described(rule_pack=MARK)),
        ("POST", EVALUATIONS, described(rule_pack=MARK.lower())),
        ("POST", EVALUATIONS, MARK.encode()),
        ("POST", "/v1/calculations/isolation-reading", described(**{MARK: MARK})),
        ("GET", f"{EVALUATIONS}?reference={MARK}", b""),
        ("GET", f"{EVALUATIONS}/{MARK}", b""),
        ("GET", f"/v1/rule-packs/{MARK}/rules/{MARK}", b""),
        ("GET", f"/{MARK}/{MARK}", b""),
        (MARK.encode().hex().upper(), EVALUATIONS, b""),
    ]
    headers = JSON | dict.fromkeys(("authorization", "user-agent", "x-forwarded-for", "cookie", "referer", "host"), MARK)

    for method, path, body in sent:
        client.request(method, path, content=body, headers=headers)

    assert {line["status"] for line in lines(written)} == {200, 201, 400, 404, 405, 409, 422}
    told = written.getvalue().lower()
    assert [text for text in (MARK.lower(), MARK.encode().hex(), "testclient") if text in told] == []


def test_the_id_that_is_told_is_the_one_that_the_caller_has(client: TestClient, written: io.StringIO) -> None:
    answer = client.get("/v1/rule-packs", headers={"Request-Id": MARK})

    assert [line["request_id"] for line in lines(written)] == [answer.headers["request-id"]]
    assert MARK not in written.getvalue()


def test_every_request_has_an_id_of_its_own(client: TestClient, written: io.StringIO) -> None:
    for _ in range(3):
        client.get("/v1/rule-packs")

    assert len({line["request_id"] for line in lines(written)}) == 3


def test_what_the_service_says_during_a_request_carries_the_same_id(
    packs: tuple[PackHead, ...], tmp_path: Path, written: io.StringIO
) -> None:
    (tmp_path / "file").write_text("no folder")
    unready = service(packs, tmp_path / "file" / "record.sqlite")

    TestClient(create_app(unready)).post(EVALUATIONS, content=HOUSE, headers=JSON)
    unready.close()

    (fault, request) = [json.loads(line) for line in written.getvalue().splitlines() if '"logger":"bondwright.' in line]
    assert (fault["level"], fault["event"].partition(":")[0]) == ("error", "answered not-ready")
    assert fault["request_id"] == request["request_id"]


def test_an_unforeseen_error_is_told_by_type_and_place_without_its_words(bondwright: Bondwright, written: io.StringIO) -> None:
    app = create_app(bondwright)
    _add_failing(app)

    TestClient(app, raise_server_exceptions=False).get("/failing")
    try:
        raise KeyError(MARK) from ValueError(MARK)
    except KeyError:
        logging.getLogger("bondwright.test").exception("failed")

    assert [line["status"] for line in lines(written)] == [500]
    (failed,) = lines(written, "failed")
    assert [raised["type"] for raised in failed["raised"]] == ["builtins.KeyError", "builtins.ValueError"]
    assert failed["raised"][0]["at"][0].startswith(__file__)
    assert MARK not in written.getvalue()


def _add_failing(app: FastAPI) -> None:
    @app.get("/failing")
    def failing() -> None:
        raise KeyError(MARK)
