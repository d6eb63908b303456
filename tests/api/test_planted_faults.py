"""The net holds: each fault that is planted in the service is reported, by the check that is there for it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeAlias

import pytest
from fastapi import FastAPI
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from tests.api.builders import EVALUATIONS, OURS
from tests.api.fuzzing.report import Found, Report
from tests.api.fuzzing.run import fuzz
from tests.api.fuzzing.subject import subject

from bondwright.assembly import TENANT, Bondwright, Envelope
from bondwright.calculations.answer import CalculationAnswer
from bondwright.rulebook.pack import PackHead

EVALUATE, READ = f"POST {EVALUATIONS}", f"GET {EVALUATIONS}/{{evaluation_id}}"
ISOLATION, ELECTRODE, LOOP = (f"POST /v1/calculations/{name}" for name in ("isolation-limit", "electrode-limit", "loop-impedance-limit"))
Keys: TypeAlias = dict[str, str]
Front: TypeAlias = Callable[[FastAPI, Keys], ASGIApp]


class OpenToAll(Bondwright):
    """A service that gives an evaluation to every tenant."""

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self._owners: dict[str, str] = {}

    async def submit(self, raw: bytes, tenant: str = TENANT, idempotency_key: str | None = None, price: int | None = None) -> Envelope:
        """See Bondwright."""
        answered = await super().submit(raw, tenant, idempotency_key, price)
        self._owners[answered.evaluation_id] = tenant
        return answered

    def stored(self, evaluation_id: str, tenant: str = TENANT) -> Envelope:
        """See Bondwright; but whoever asks, the owner is taken to."""
        return super().stored(evaluation_id, self._owners.get(evaluation_id, tenant))


class Breaking(Bondwright):
    """A service of which one calculation breaks where the pack is named."""

    def calculate(self, name: str, raw: bytes) -> CalculationAnswer:
        """See Bondwright."""
        if LOOP.endswith(f"/{name}") and json.loads(raw).get("rule_pack"):
            raise ZeroDivisionError
        return super().calculate(name, raw)


def teapot(app: FastAPI, _keys: Keys) -> ASGIApp:
    """A front that answers 418, of which the document says nothing, where the description was refused."""

    async def front(scope: Scope, receive: Receive, send: Send) -> None:
        async def changed(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] == 422:
                message["status"] = 418
            await send(message)

        await app(scope, receive, changed)

    return front


def lenient(app: FastAPI, _keys: Keys) -> ASGIApp:
    """A front that lets negative lengths through, as if they were none; its document tells of items alone, so that they come soon."""
    described = app.openapi()["components"]["schemas"]["Installation"]["properties"]
    for name in set(described) - {"work", "items"}:
        del described[name]

    async def front(scope: Scope, receive: Receive, send: Send) -> None:
        body = b""
        while scope["method"] == "POST":
            message = await receive()
            body += message.get("body", b"")
            if not message.get("more_body"):
                break
        body = relaxed(body)
        headers = [(name, value) for name, value in scope["headers"] if name != b"content-length"]

        async def given() -> Message:
            return {"type": "http.request", "body": body}

        await app({**scope, "headers": [*headers, (b"content-length", str(len(body)).encode())]}, given, send)

    return front


def relaxed(body: bytes) -> bytes:
    """A JSON document in which no length is negative; other bytes as they are."""

    def object_hook(found: dict[str, Any]) -> dict[str, Any]:
        length = found.get("length_m")
        return found | {"length_m": 0} if isinstance(length, float | int) and length < 0 else found

    try:
        return json.dumps(json.loads(body, object_hook=object_hook)).encode()
    except ValueError:
        return body


def open_door(app: FastAPI, keys: Keys) -> ASGIApp:
    """A front that shows a good key for those who have none."""

    async def front(scope: Scope, receive: Receive, send: Send) -> None:
        good = (b"authorization", f"Bearer {keys[OURS]}".encode())
        headers = [header for header in scope["headers"] if header[0] != b"authorization"]
        await app({**scope, "headers": [*headers, good]}, receive, send)

    return front


def as_it_is(app: FastAPI, _keys: Keys) -> ASGIApp:
    """No front."""
    return app


def each_at_its_own(app: FastAPI, keys: Keys) -> ASGIApp:
    """The two fronts that concern any operation, each at a calculation of its own."""
    fronts = {ISOLATION: teapot(app, keys), ELECTRODE: open_door(app, keys)}

    async def front(scope: Scope, receive: Receive, send: Send) -> None:
        await fronts.get(f"POST {scope.get('path')}", app)(scope, receive, send)

    return front


@pytest.fixture(scope="module")
def of_three(packs: tuple[PackHead, ...], tmp_path_factory: pytest.TempPathFactory) -> Report:
    """What is found where three calculations have a fault each, of different kinds."""
    folder = tmp_path_factory.mktemp("three")
    with subject(packs, folder, Breaking) as (app, keys):
        asked = (f"--include-name={operation}" for operation in (ISOLATION, ELECTRODE, LOOP))
        return fuzz(each_at_its_own(app, keys), keys, folder, "--phases=coverage", *asked)


@pytest.mark.parametrize(
    ("check", "operation"),
    [("status_code_conformance", ISOLATION), ("ignored_auth", ELECTRODE), ("not_a_server_error", LOOP)],
    ids=["an undocumented status", "keys that are not asked for", "a fault of the service"],
)
def test_a_fault_planted_in_one_calculation_is_reported_there_and_nowhere_else(of_three: Report, check: str, operation: str) -> None:
    assert of_three.status == 1
    assert {found.operation for found in of_three.found if found.check == check} == {operation}, of_three.said


@pytest.mark.parametrize(
    ("kind", "front", "found", "options"),
    [
        (OpenToAll, as_it_is, Found("object_level_authorization", READ), "--phases=stateful --max-examples=10"),
        (Bondwright, lenient, Found("negative_data_rejection", EVALUATE), "--phases=coverage"),
    ],
    ids=["a cross-tenant read", "a negative length"],
)
def test_a_planted_fault_is_reported_by_the_check_that_is_there_for_it(
    packs: tuple[PackHead, ...], tmp_path: Path, kind: type[Bondwright], front: Front, found: Found, options: str
) -> None:
    asked = {found.operation, EVALUATE} if "stateful" in options else {found.operation}

    with subject(packs, tmp_path, kind) as (app, keys):
        report = fuzz(front(app, keys), keys, tmp_path, *options.split(), *(f"--include-name={operation}" for operation in asked))

    assert report.status == 1
    assert found in report.found, report.said
