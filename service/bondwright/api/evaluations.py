"""Evaluations: describe an installation, get the verdicts; read them again."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import FastAPI, Path, Request, Response
from pydantic import Field
from starlette.concurrency import run_in_threadpool

from bondwright.access.keys import Caller
from bondwright.api.bodies import body_or_refusal
from bondwright.api.callers.access import caller_of, may
from bondwright.api.callers.by_hand import by_hand
from bondwright.api.callers.idempotency import REPLAYED, IdempotencyKey, read_idempotency_key
from bondwright.api.callers.leaving_early import unless_gone
from bondwright.api.callers.metering import PRICED, demand_left, spend
from bondwright.api.callers.preferences import APPLIED, MINIMAL, VARY, Preference, preferred, wants_outline
from bondwright.api.problems import (
    CONTRADICTION,
    CUT_OFF,
    DISAGREEMENT,
    INTERNAL,
    NOT_JSON,
    NOT_READY,
    NOT_THE_SCHEMA,
    SENT_BEFORE,
    TOO_LARGE,
    UNKNOWN_NAME,
    WRONG_MEDIA_TYPE,
    problem,
)
from bondwright.api.rule_packs import WITHDRAWN, withdrawn_headers
from bondwright.api.sending import json_of
from bondwright.assembly import Bondwright, Envelope
from bondwright.compose.answer import Evaluation
from bondwright.outline.shape import Outline, OutlineLinks

_RULE_PACK = {"Rule-Pack": {"description": "Id of the rule pack that decided.", "required": True, "schema": {"type": "string"}}}
_LOCATION = {"Location": {"description": "Where to read the evaluation again.", "required": True, "schema": {"type": "string"}}}
_OF_RECORD = {
    name: {"operationId": operation, "parameters": {"evaluation_id": "$response.body#/evaluation_id"}}
    for name, operation in (
        ("read_again", "get_evaluation"),
        ("read_outline", "get_outline"),
        ("read_record", "get_record"),
        ("replay", "replay_evaluation"),
    )
}
_ANSWER = "$response.body#/evaluation"
_LINKS = _OF_RECORD | {
    "read_rule_pack": {"operationId": "get_rule_pack", "parameters": {"pack_id": f"{_ANSWER}/pack/pack_id"}},
    "read_rule": {"operationId": "get_rule", "parameters": {"pack_id": f"{_ANSWER}/pack/digest", "rule_id": f"{_ANSWER}/reasons/0/rule"}},
}

_HEADERS = {**_LOCATION, **_RULE_PACK, **WITHDRAWN, **REPLAYED, **PRICED, **APPLIED}
_REFUSED = problem(
    NOT_JSON,
    CONTRADICTION,
    SENT_BEFORE,
    TOO_LARGE,
    WRONG_MEDIA_TYPE,
    NOT_THE_SCHEMA,
    INTERNAL,
    DISAGREEMENT,
    NOT_READY,
    CUT_OFF,
)


@dataclass(frozen=True, slots=True)
class RecordedEvaluation:
    """An evaluation with what belongs to its record. `evaluation` is what a replay gives again, byte for byte."""

    evaluation_id: UUID
    recorded_at: Annotated[str, Field(description="UTC.", examples=["2026-11-25T09:30:00.000Z"])]
    versions: Annotated[dict[str, str], Field(description="What answered, by name.")]
    evaluation: Evaluation


@dataclass(frozen=True, slots=True)
class RecordedOutline:
    """A recorded evaluation in short, for programs: the same bytes every time. `links`: where the rest stands."""

    evaluation_id: UUID
    recorded_at: Annotated[str, Field(description="UTC.", examples=["2026-11-25T09:30:00.000Z"])]
    links: OutlineLinks
    outline: Outline


def add_evaluations(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the routes under /v1/evaluations."""
    _add_evaluating(app, bondwright)
    _add_reading(app, bondwright)


def _add_evaluating(app: FastAPI, bondwright: Bondwright) -> None:
    async def create_evaluation(
        request: Request, caller: Annotated[Caller, may("evaluate")], idempotency_key: IdempotencyKey = None, prefer: Preference = None
    ) -> Response:
        """The answer leaves once its record is durable.

        With an `Idempotency-Key`, the same request sent again gets the first answer again and nothing more is recorded. With
        `Prefer: return=minimal`, the answer is the outline, the same bytes as at `/v1/evaluations/{evaluation_id}/outline`.
        """
        demand_left(request, caller)
        body = await body_or_refusal(request)
        if isinstance(body, Response):
            return body
        key = read_idempotency_key(idempotency_key)
        price = bondwright.price(body, caller.tenant)
        left = spend(request, caller, price)
        work = bondwright.submit(body, caller.tenant, key, price)
        envelope = await (unless_gone(request, work) if bondwright.is_apart(price) else work)
        return await _preferred(bondwright, envelope, prefer, left)

    async def asked(request: Request) -> Response:
        caller = await caller_of(request, "evaluate")
        return await create_evaluation(request, caller, request.headers.get("idempotency-key"), preferred(request))

    app.router.add_api_route(
        "/v1/evaluations",
        create_evaluation,
        methods=["POST"],
        route_class_override=by_hand(asked),
        tags=["evaluations"],
        status_code=201,
        response_model=RecordedEvaluation | RecordedOutline,
        summary="Evaluate an installation and record the answer",
        responses={201: {"headers": _HEADERS, "links": _LINKS}, **_REFUSED},
        openapi_extra={
            "requestBody": {"required": True, "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Installation"}}}}
        },
    )


def _add_reading(app: FastAPI, bondwright: Bondwright) -> None:
    @app.get(
        "/v1/evaluations/{evaluation_id}",
        tags=["evaluations"],
        response_model=RecordedEvaluation,
        summary="Read an evaluation as it was answered",
        responses={200: {"headers": {**_RULE_PACK, **WITHDRAWN}, "links": _LINKS}, **problem(UNKNOWN_NAME, INTERNAL, NOT_READY)},
    )
    def get_evaluation(
        evaluation_id: Annotated[str, Path(json_schema_extra={"format": "uuid"})], caller: Annotated[Caller, may("read")]
    ) -> Response:
        """The body never changes. If the rule pack that decided was withdrawn since, a header says so."""
        envelope = bondwright.stored(evaluation_id, caller.tenant)
        return _answer(envelope.parts, envelope, 200, {})

    @app.get(
        "/v1/evaluations/{evaluation_id}/outline",
        tags=["evaluations"],
        response_model=RecordedOutline,
        summary="Read what to do, in short",
        responses={200: {"headers": {**_RULE_PACK, **WITHDRAWN}, "links": _OF_RECORD}, **problem(UNKNOWN_NAME, INTERNAL, NOT_READY)},
    )
    async def get_outline(
        evaluation_id: Annotated[str, Path(json_schema_extra={"format": "uuid"})], caller: Annotated[Caller, may("read")]
    ) -> Response:
        """For programs: each part, location, earthing and feeder with an instruction, sizes, clauses and the fields that are open.

        The body never changes, and overrides nothing that the evaluation says.
        """
        envelope = await run_in_threadpool(bondwright.stored, evaluation_id, caller.tenant)
        return _answer((await bondwright.outlined(envelope.record),), envelope, 200, {})


async def _preferred(bondwright: Bondwright, envelope: Envelope, prefer: str | None, headers: dict[str, str]) -> Response:
    """The evaluation, or in its place the outline."""
    repeated = {"Idempotency-Replayed": "true"} if envelope.is_repeated else {}
    headers = {"Location": f"/v1/evaluations/{envelope.evaluation_id}", **VARY, **repeated, **headers}
    if not wants_outline(prefer):
        return _answer(envelope.parts, envelope, 201, headers)
    outline = await bondwright.outlined(envelope.record)
    return _answer((outline,), envelope, 201, {**headers, "Preference-Applied": MINIMAL})


def _answer(parts: Sequence[bytes], envelope: Envelope, status: int, headers: dict[str, str]) -> Response:
    """These parts of a body, with what is said beside every answer that rests on the envelope's record."""
    told = {"Rule-Pack": envelope.pack_id, **withdrawn_headers(envelope.withdrawn)}
    return json_of(parts, status, {**headers, **told})
