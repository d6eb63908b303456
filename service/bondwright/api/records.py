"""What is recorded: evaluations found by what they rest on, shown with everything that is kept, and replayed."""

import hashlib
from base64 import b64encode
from dataclasses import asdict, dataclass
from typing import Annotated, Literal
from urllib.parse import urlencode
from uuid import UUID

import orjson
from fastapi import FastAPI, Path, Request, Response
from pydantic import Field
from starlette.concurrency import run_in_threadpool

from bondwright.access.keys import Caller
from bondwright.api.callers.access import may
from bondwright.api.callers.metering import PRICED, spend
from bondwright.api.problems import CONTRADICTION, CUT_OFF, INTERNAL, NOT_READY, NOT_THE_SCHEMA, UNKNOWN_NAME, problem
from bondwright.api.rule_packs import WITHDRAWN, PackWithdrawn, withdrawn_headers, withdrawn_json
from bondwright.api.searching import cursor, parameters, read_query
from bondwright.api.sending import json_of
from bondwright.assembly import Bondwright
from bondwright.audit.comparing.difference import Difference
from bondwright.audit.record import PackRecord, Record
from bondwright.compose.answer import Evaluation
from bondwright.rulebook.withdrawal import Withdrawal

EvaluationId = Annotated[str, Path(json_schema_extra={"format": "uuid"})]

_LINK = {"Link": {"description": "The next page, if there is one: rel=next (RFC 8288).", "schema": {"type": "string"}}}
_DECIDED_BY = {"Rule-Pack": {"description": "Id of the rule pack that decided.", "required": True, "schema": {"type": "string"}}}
_RULE_PACK = {**_DECIDED_BY, **WITHDRAWN}

_FIRST = {
    name: {"operationId": operation, "parameters": {"evaluation_id": "$response.body#/evaluations/0/evaluation_id"}}
    for name, operation in (("read_first", "get_evaluation"), ("read_record_of_first", "get_record"), ("replay_first", "replay_evaluation"))
}


@dataclass(frozen=True, slots=True)
class EvaluationSummary:
    """A recorded evaluation in short. `day` is that of the work; `counter` numbers the records without a gap.

    `rests_on_withdrawn`: the rule pack that decided was withdrawn since.
    """

    evaluation_id: UUID
    recorded_at: Annotated[str, Field(description="UTC.", examples=["2026-11-25T09:30:00.000Z"])]
    reference: str
    pack_id: str
    day: str
    counter: int
    rests_on_withdrawn: bool


@dataclass(frozen=True, slots=True)
class EvaluationList:
    """A page of what was found, the first recorded first. `next`: what `after` has to be for the next page, if there is one."""

    evaluations: tuple[EvaluationSummary, ...]
    next: str | None


@dataclass(frozen=True, slots=True)
class KeptBytes:
    """Bytes as they are kept: as `text`, or in `base64` where they are not UTF-8; `digest` is their SHA-256 in hex."""

    digest: str
    text: str | None
    base64: str | None


@dataclass(frozen=True, slots=True)
class KeptPack:
    """The rule pack as it stood when it decided. `withdrawn`: why and since when it judges nothing any more, if so."""

    pack_id: str
    first_used_at: str
    content: KeptBytes
    withdrawn: PackWithdrawn | None


@dataclass(frozen=True, slots=True)
class RecordInFull:
    """All that is kept of an evaluation. `input` is the request as it was received; `evaluation_digest` is of the bytes of `evaluation`."""

    evaluation_id: UUID
    tenant: str
    recorded_at: str
    counter: int
    versions: dict[str, str]
    input: KeptBytes
    rule_pack: KeptPack
    evaluation_digest: str
    evaluation: Evaluation


@dataclass(frozen=True, slots=True)
class ReplayAnswer:
    """An evaluation worked out again from its record: the stored description, by the stored rule pack.

    `form_then`, `form_now`: the forms of the answer that was kept and of those that are worked out now. `same_bytes`: `same` or
    `different`; `not_comparable` where the answer is of form 1, for which the same bytes were not promised, or of another form than now.
    `same_levels`: every level and size is the same, in whatever form. `difference`: the first one, of bytes where these are comparable,
    else of levels and sizes. `not_evaluated`: why nothing could be compared, if so; then the three before it are null.
    `published_since`: packs usable on the day of the work that the answer does not name, for it was given before they were
    published; they are no difference. `not_at_hand`: packs that the answer names and that could not be asked again.
    `withdrawn`: why and since when the rule pack judges nothing any more, if so; what it answered is replayed all the same.
    """

    evaluation_id: UUID
    pack_id: str
    pack_digest: str
    form_then: int
    form_now: int
    same_bytes: Literal["same", "different", "not_comparable"] | None
    same_levels: bool | None
    versions_then: dict[str, str]
    versions_now: dict[str, str]
    difference: Difference | None
    not_evaluated: str | None
    published_since: tuple[str, ...]
    not_at_hand: tuple[str, ...]
    withdrawn: PackWithdrawn | None


def add_records(app: FastAPI, bondwright: Bondwright) -> None:
    """Adds the routes that read what is recorded."""

    @app.get(
        "/v1/evaluations",
        tags=["evaluations"],
        response_model=EvaluationList,
        summary="Find recorded evaluations",
        responses={200: {"headers": {**_LINK, **PRICED}, "links": _FIRST}, **problem(CONTRADICTION, NOT_THE_SCHEMA, INTERNAL, NOT_READY)},
        openapi_extra={"parameters": parameters()},
    )
    def find_evaluations(request: Request, caller: Annotated[Caller, may("read")]) -> Response:
        """Those that fit every parameter, in the order in which they were recorded, so pages stay as they are while more are recorded."""
        asked = read_query(request)
        left = spend(request, caller, bondwright.price_of_search)
        after, limit = asked.page
        found = bondwright.find(asked.search(bondwright.withdrawn), after, limit + 1, caller.tenant)
        more = cursor(found[limit - 1].counter) if len(found) > limit else None
        told = [asdict(one) | {"rests_on_withdrawn": one.pack_id in bondwright.withdrawn} for one in found[:limit]]
        body = orjson.dumps({"evaluations": told, "next": more})
        going_on = urlencode(asked.model_dump(exclude_none=True) | {"after": more})
        link = {"Link": f'</v1/evaluations?{going_on}>; rel="next"'} if more else {}
        return Response(body, 200, {**link, **left}, "application/json")

    @app.get(
        "/v1/evaluations/{evaluation_id}/record",
        tags=["evaluations"],
        response_model=RecordInFull,
        summary="Read all that is kept of an evaluation",
        responses={200: {"headers": _RULE_PACK}, **problem(UNKNOWN_NAME, INTERNAL, NOT_READY)},
    )
    def get_record(evaluation_id: EvaluationId, caller: Annotated[Caller, may("audit")]) -> Response:
        """With the request as it was received and the text of the rule pack."""
        record, pack = bondwright.record(evaluation_id, caller.tenant)
        withdrawal = bondwright.withdrawn.get(record.pack_id)
        headers = {"Rule-Pack": record.pack_id, **withdrawn_headers(withdrawal)}
        return json_of((_in_full(record, pack, withdrawal),), 200, headers)

    _add_replay(app, bondwright)


def _add_replay(app: FastAPI, bondwright: Bondwright) -> None:
    @app.post(
        "/v1/evaluations/{evaluation_id}/replay",
        tags=["evaluations"],
        response_model=ReplayAnswer,
        summary="Work an evaluation out again from its record and compare",
        responses={200: {"headers": {**_RULE_PACK, **PRICED}}, **problem(UNKNOWN_NAME, INTERNAL, NOT_READY, CUT_OFF)},
    )
    async def replay_evaluation(request: Request, evaluation_id: EvaluationId, caller: Annotated[Caller, may("audit")]) -> Response:
        """Nothing is recorded. What the answer says of other packs is worked out again for those that it names.

        It costs what the evaluation would.
        """
        record = await run_in_threadpool(bondwright.kept, evaluation_id, caller.tenant)
        left = spend(request, caller, bondwright.price_of_replay(record))
        replay = await bondwright.replayed(record)
        headers = {"Rule-Pack": replay.pack_id, **withdrawn_headers(replay.withdrawn), **left}
        return Response(orjson.dumps(asdict(replay) | {"withdrawn": withdrawn_json(replay.withdrawn)}), 200, headers, "application/json")


def _in_full(record: Record, pack: PackRecord, withdrawal: Withdrawal | None) -> bytes:
    shown = {
        "evaluation_id": record.evaluation_id,
        "tenant": record.tenant,
        "recorded_at": record.recorded_at,
        "counter": record.counter,
        "versions": dict(record.versions),
        "input": _kept(record.input_bytes),
        "rule_pack": KeptPack(pack.pack_id, pack.first_used_at, _kept(pack.text), withdrawn_json(withdrawal)),
        "evaluation_digest": record.evaluation_digest,
        "evaluation": orjson.Fragment(record.evaluation_bytes),  # the very bytes that were digested
    }
    return orjson.dumps(shown)


def _kept(content: bytes) -> KeptBytes:
    digest = hashlib.sha256(content).hexdigest()
    try:
        return KeptBytes(digest, content.decode(), None)
    except UnicodeDecodeError:
        return KeptBytes(digest, None, b64encode(content).decode())
