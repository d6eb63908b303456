"""Batches: many descriptions in one request, a line each, and a line of its own for each answer."""

import asyncio
import hashlib
import logging
import tempfile
from collections.abc import AsyncIterator, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from typing import IO, Annotated
from uuid import UUID

import orjson
from fastapi import FastAPI, Request, Response
from fastapi.responses import StreamingResponse

from bondwright.access.keys import Caller
from bondwright.api.callers.access import may
from bondwright.api.callers.idempotency import IdempotencyKey, read_idempotency_key
from bondwright.api.callers.metering import PRICED, demand_left, spend
from bondwright.api.callers.preferences import APPLIED, MINIMAL, VARY, Preference, preferred, wants_outline
from bondwright.api.edge.acceptance import accepts
from bondwright.api.problems import (
    INTERNAL,
    MOST_BYTES,
    NOT_READY,
    NOT_THE_SCHEMA,
    TOO_LARGE,
    WRONG_MEDIA_TYPE,
    kind_of,
    problem,
)
from bondwright.api.rule_packs import PackWithdrawn, withdrawn_json
from bondwright.api.sending import in_pieces
from bondwright.assembly import Bondwright
from bondwright.assembly.batches import AT_ONCE, Outcome, evaluated_lines, price_of_line
from bondwright.compose.answer import Evaluation
from bondwright.errors import Fault, Refused, TooMuch
from bondwright.outline.shape import Outline, OutlineLinks

BATCHES = "/v1/batches"
MEDIA_TYPE = "application/jsonl"
_AS_BYTES = "application/octet-stream"
WRITTEN_AS = (MEDIA_TYPE, _AS_BYTES)
"""The media types of an answer; the second is for generators of clients that know no JSON Lines."""
MOST_LINES = 10_000
MOST_BATCH_BYTES = 100_000_000
_IN_MEMORY = 2_000_000
_TAKEN = (*WRITTEN_AS, "application/x-ndjson", "application/x-jsonlines")
EACH_LINE = "x-item-schema"
"""Where the document says of what each line is: `itemSchema` of OpenAPI 3.2, which generators and linters do not read yet."""
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class LineProblem:
    """Why there is no evaluation for a line."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class BatchLine:
    """What became of the line of that number, from 1: with status 201 an evaluation, else a `problem`.

    `withdrawn`: only where the line was answered before, by a rule pack that was withdrawn since. `outline`, `links`: in the place of
    `versions` and `evaluation` where the request prefers a minimal answer.
    """

    line: int
    status: int
    evaluation_id: UUID | None = None
    recorded_at: str | None = None
    versions: dict[str, str] | None = None
    evaluation: Evaluation | None = None
    problem: LineProblem | None = None
    withdrawn: PackWithdrawn | None = None
    links: OutlineLinks | None = None
    outline: Outline | None = None


@dataclass(frozen=True, slots=True)
class BatchEnd:
    """The last line of an answer; `sha256` is of all bytes before it, in hex."""

    end: bool
    lines: int
    recorded: int
    sha256: str


_DESCRIPTION = f"""Each line of the request is a description, as `POST /v1/evaluations` takes it: {MOST_LINES:,} lines and
{MOST_BATCH_BYTES:,} bytes at most. Each line of the answer, in the same order, has `line`, from 1, and `status`: with
201 it is an evaluation, recorded before the line is sent; else `problem` says why there is none, and the other lines
go on. The last line has `end`, how many lines there were, how many were recorded, and the SHA-256 of all bytes before
it: an answer without it was cut off. Sent again with the same `Idempotency-Key`, lines that were recorded are
answered the same and the rest is done. With `Prefer: return=minimal`, each line is an outline. Clients that know no
JSON Lines may send and accept the same as `application/octet-stream`."""

_LINES = {
    "schema": {"type": "string", "format": "binary", "description": "JSON Lines: each a `BatchLine`, but for the last, a `BatchEnd`."},
    EACH_LINE: {"anyOf": [{"$ref": "#/components/schemas/BatchLine"}, {"$ref": "#/components/schemas/BatchEnd"}]},
}
_DESCRIPTIONS = {
    "schema": {"type": "string", "format": "binary", "description": "JSON Lines, each an `Installation`."},
    EACH_LINE: {"$ref": "#/components/schemas/Installation"},
    "example": '{"work": {"kind": "inspection", "inspected_on": "2026-11-25"}}\n' * 2,
}


def add_batches(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the route /v1/batches."""

    @app.post(
        BATCHES,
        tags=["evaluations"],
        summary="Evaluate many installations and record each answer",
        description=_DESCRIPTION,
        response_class=Response,
        responses={
            200: {"description": "The answers, line by line.", "content": dict.fromkeys(WRITTEN_AS, _LINES), "headers": PRICED | APPLIED},
            **problem(TOO_LARGE, WRONG_MEDIA_TYPE, NOT_THE_SCHEMA, INTERNAL, NOT_READY),
        },
        openapi_extra={"requestBody": {"required": True, "content": dict.fromkeys(WRITTEN_AS, _DESCRIPTIONS)}},
    )
    async def create_batch(
        request: Request, caller: Annotated[Caller, may("evaluate")], idempotency_key: IdempotencyKey = None, prefer: Preference = None
    ) -> Response:
        short = wants_outline(prefer and preferred(request))
        key = read_idempotency_key(idempotency_key)
        if request.headers.get("content-type", "").split(";")[0].strip().lower() not in _TAKEN:
            return WRONG_MEDIA_TYPE.answer(headers={"Accept-Post": MEDIA_TYPE})
        demand_left(request, caller)
        # Read whole before anything is answered: a caller who reads only once all is sent would else wait for us, and we for it.
        with ExitStack() as opened:
            spool = opened.enter_context(tempfile.SpooledTemporaryFile(_IN_MEMORY))
            price, costliest = await _spooled(request, spool, bondwright)
            headers = spend(request, caller, price, at_once=min(bondwright.most_price, AT_ONCE * costliest))
            answers = _answers(bondwright, spool, opened.pop_all(), caller, key, short)
        asked_for = ",".join(request.headers.getlist("accept"))
        media_type = _AS_BYTES if asked_for and not accepts(asked_for, MEDIA_TYPE) else MEDIA_TYPE
        applied = {"Preference-Applied": MINIMAL} if short else {}
        return StreamingResponse(answers, media_type=media_type, headers={**headers, **VARY, **applied, "Cache-Control": "no-store"})


async def _spooled(request: Request, spool: IO[bytes], bondwright: Bondwright) -> tuple[int, int]:
    """What the lines that were sent cost together, and the costliest; they are now in `spool`. Raises: TooMuch."""
    size = lines = price = costliest = 0
    rest = b""
    async for piece in request.stream():
        size, lines = size + len(piece), lines + piece.count(b"\n")
        if size > MOST_BATCH_BYTES or lines > MOST_LINES:
            raise TooMuch((Fault("", f"send at most {MOST_LINES:,} lines and {MOST_BATCH_BYTES:,} bytes, and the rest in another batch"),))
        spool.write(piece)
        *whole, rest = (rest + piece).split(b"\n")
        prices = [price_of_line(bondwright, line, MOST_BYTES) for line in whole]
        price, costliest = price + sum(prices), max(costliest, *prices, 0)
        rest = rest[: MOST_BYTES + 1]  # of one that is too long just so much that it is seen to be
    spool.seek(0)
    last = price_of_line(bondwright, rest, MOST_BYTES) if rest else 0
    return price + last, max(costliest, last)


def _lines(spool: IO[bytes]) -> Iterator[bytes]:
    """Each line without its end; of one that is too long just so much that it is seen to be."""
    while line := spool.readline(MOST_BYTES + 2):
        whole = line.endswith(b"\n")
        yield line.rstrip(b"\r\n")
        while not whole and (rest := spool.readline(MOST_BYTES)):
            whole = rest.endswith(b"\n")


async def _answers(
    bondwright: Bondwright, spool: IO[bytes], opened: ExitStack, caller: Caller, key: str | None, short: bool
) -> AsyncIterator[bytes]:
    digest, recorded, line = hashlib.sha256(), 0, 0
    with opened:
        async for outcome in evaluated_lines(bondwright, _lines(spool), MOST_BYTES, caller.tenant, key):
            line, recorded = outcome.line, recorded + (outcome.envelope is not None)
            parts = outcome.envelope.parts if outcome.envelope else ()
            if short and outcome.envelope:
                parts = (await bondwright.outlined(outcome.envelope.record),)
            for piece in in_pieces(_answer(outcome, parts)):
                digest.update(piece)
                yield piece
                await asyncio.sleep(0)
    yield orjson.dumps(BatchEnd(True, line, recorded, digest.hexdigest())) + b"\n"


def _answer(outcome: Outcome, parts: tuple[bytes, ...]) -> tuple[bytes, ...]:
    """The line of an outcome; `parts`: the evaluation or its outline, as they are answered alone."""
    if outcome.envelope is not None:
        # Spliced in as the bytes that a single evaluation is answered by; nothing parses or writes it again.
        told = withdrawn_json(outcome.envelope.withdrawn)
        said = b'"withdrawn":%s,' % orjson.dumps(told) if told else b""
        opening, *rest = parts
        return b'{"line":%d,"status":201,%s%s' % (outcome.line, said, opening[1:]), *rest, b"\n"
    kind = kind_of(outcome.error)
    if kind.status >= 500:
        _log.error("answered %s in a batch: %s", kind.name, outcome.error)
    faults = outcome.error.faults if isinstance(outcome.error, Refused) else ()
    refusal = LineProblem(kind.type, kind.title, kind.status, kind.detail, faults)
    return orjson.dumps({"line": outcome.line, "status": kind.status, "problem": refusal}), b"\n"
