"""Problem details (RFC 9457): the one place that turns an error into HTTP.

`type` is a reference to a page of the same server that explains the problem. `errors` holds one entry per fault, each with a JSON
Pointer (RFC 6901) into the received document. The caller's values are never repeated. Problems are never cached.
"""

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import orjson
from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import Field
from starlette.exceptions import HTTPException
from starlette.types import Receive, Scope, Send
from uuid_utils import uuid7

from bondwright.api.callers.metering import headers_of
from bondwright.api.edge.methods import allowed
from bondwright.assembly.quota import Allowance
from bondwright.errors import (
    BondwrightError,
    Contradiction,
    Crowded,
    CutOff,
    EngineDisagreement,
    EngineFault,
    Fault,
    KeyRefused,
    NotJson,
    NotTheSchema,
    QuotaSpent,
    RecordBroken,
    Refused,
    ScopeMissing,
    SentBefore,
    TooMuch,
    UnknownName,
    UnreadableRules,
)

MEDIA_TYPE = "application/problem+json"

PROBLEM = "problem"
"""Under this the state of a request holds the name of the problem that was answered last."""

MOST_BYTES = 1_000_000
"""Largest request body; a full description of a large building stays well below."""

_ANEW_S = "2"
"""Until a process that was ended is there anew."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Problem:
    """Why there is no answer (RFC 9457)."""

    type: Annotated[str, Field(description="Which problem, as a reference; compare it, do not parse it.")]
    title: Annotated[str, Field(description="The problem in a few words.")]
    status: Annotated[int, Field(description="The HTTP status again.")]
    detail: Annotated[str, Field(description="What to do about it.")]
    request_id: Annotated[str, Field(description="The header `Request-Id` again.", json_schema_extra={"format": "uuid"})]
    errors: Annotated[tuple[Fault, ...], Field(description="Each fault and its place in the received document.")]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem; `name` ends its `type`."""

    name: str
    status: int
    title: str
    detail: str

    @property
    def type(self) -> str:
        """The page that explains it."""
        return f"/problems/{self.name}"

    def answer(self, faults: tuple[Fault, ...] = (), headers: Mapping[str, str] | None = None) -> Response:
        """The problem as a response."""
        return _Answer(self, faults, headers or {})


class _Answer(Response):
    """A problem on its way out; it is written when it is sent, for only then is the request known."""

    def __init__(self, kind: Kind, faults: tuple[Fault, ...], headers: Mapping[str, str]) -> None:
        super().__init__(None, kind.status, {"Cache-Control": "no-store", **headers}, MEDIA_TYPE)
        self._kind, self._faults = kind, faults

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        kind = self._kind
        state = scope.setdefault("state", {})
        request_id = state.setdefault("request_id", str(uuid7()))  # there already, but for parts that stand alone
        state[PROBLEM] = kind.name
        self.body = orjson.dumps(Problem(kind.type, kind.title, kind.status, kind.detail, request_id, self._faults))
        self.headers["content-length"] = str(len(self.body))
        await super().__call__(scope, receive, send)


NOT_JSON = Kind("not-json", 400, "Not JSON", "Send one JSON document in UTF-8, without repeated keys.")
NO_KEY = Kind("no-key", 401, "No key that is good", "Send `Authorization: Bearer KEY`. A key may be mistyped, expired or revoked.")
SCOPE_MISSING = Kind("scope-missing", 403, "The key is not for this", "Use a key with the scope that `WWW-Authenticate` names.")
UNKNOWN_NAME = Kind("unknown-name", 404, "Nothing of that name", "Check the path; ids are never reused or changed.")
WRONG_METHOD = Kind("wrong-method", 405, "Method not allowed", "The Allow header names the methods of this path.")
NOT_ACCEPTABLE = Kind(
    "not-acceptable",
    406,
    "Not in that form",
    "Accept application/json, for pages text/html, plain or by gzip or zstd; or leave out Accept and Accept-Encoding.",
)
TOO_SLOW = Kind("too-slow", 408, "The body did not come in time", "Send the request again, its body without a pause.")
CONTRADICTION = Kind("contradiction", 409, "What was sent contradicts itself", "Correct the places named in `errors`.")
SENT_BEFORE = Kind(
    "sent-before", 409, "Idempotency key came with another request", "Send the first request unchanged, or this one under a new key."
)
TOO_LARGE = Kind("too-large", 413, "Too large", f"Send at most {MOST_BYTES:,} bytes, and a large building in several descriptions.")
WRONG_MEDIA_TYPE = Kind("wrong-media-type", 415, "Wrong media type", "Send application/json in UTF-8.")
WRONG_ENCODING = Kind("wrong-encoding", 415, "Wrong encoding", "Send the body as it is, not compressed: no Content-Encoding.")
NOT_THE_SCHEMA = Kind("not-the-schema", 422, "Not what this path takes", "Correct the places named in `errors`.")
TOO_MANY = Kind("too-many", 429, "Too much asked for", "Wait as long as the header Retry-After says, then send it again.")
INTERNAL = Kind("internal", 500, "Fault of the service", "Not your request is at fault; the operator's log says more.")
DISAGREEMENT = Kind(
    "engine-disagreement",
    500,
    "No verdict is given",
    "The two independent readings of the rules differ, and a wrong verdict is worse than none.",
)
NOT_READY = Kind("not-ready", 503, "Not ready", "Rules or record cannot be used now. Take nothing for recorded, and try again later.")
TOO_BUSY = Kind("too-busy", 503, "Too busy", "Nothing was done. Wait as long as the header Retry-After says, then send it again.")
CUT_OFF = Kind(
    "cut-off",
    503,
    "Evaluation cut off",
    "Nothing was recorded. Wait as long as Retry-After says, then send it again; if that does not help, in several descriptions.",
)

KINDS = (
    NOT_JSON,
    NO_KEY,
    SCOPE_MISSING,
    UNKNOWN_NAME,
    WRONG_METHOD,
    NOT_ACCEPTABLE,
    TOO_SLOW,
    CONTRADICTION,
    SENT_BEFORE,
    TOO_LARGE,
    WRONG_MEDIA_TYPE,
    WRONG_ENCODING,
    NOT_THE_SCHEMA,
    TOO_MANY,
    INTERNAL,
    DISAGREEMENT,
    NOT_READY,
    TOO_BUSY,
    CUT_OFF,
)

_OF_ERROR: Mapping[type[BondwrightError], Kind] = {
    NotJson: NOT_JSON,
    NotTheSchema: NOT_THE_SCHEMA,
    Contradiction: CONTRADICTION,
    TooMuch: TOO_LARGE,
    UnknownName: UNKNOWN_NAME,
    KeyRefused: NO_KEY,
    ScopeMissing: SCOPE_MISSING,
    SentBefore: SENT_BEFORE,
    QuotaSpent: TOO_MANY,
    Crowded: TOO_BUSY,
    CutOff: CUT_OFF,
    EngineDisagreement: DISAGREEMENT,
    EngineFault: INTERNAL,
    UnreadableRules: INTERNAL,
    RecordBroken: NOT_READY,
}
_OF_STATUS: Mapping[int, Kind] = {404: UNKNOWN_NAME, 405: WRONG_METHOD}


def kind_of(error: Exception | None) -> Kind:
    """The kind of problem that an error is answered as."""
    return _OF_ERROR.get(type(error), INTERNAL) if isinstance(error, BondwrightError) else INTERNAL


def problem(*kinds: Kind) -> dict[int | str, dict[str, Any]]:
    """How a route declares that it can answer with these kinds of problem."""
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    titles: dict[int, list[str]] = {}
    for kind in kinds:
        titles.setdefault(kind.status, []).append(kind.title)
    return {status: {"description": "; ".join(said), "content": content} for status, said in titles.items()}


def answer_problems(app: FastAPI) -> None:
    """Makes `app` answer every error as a problem."""

    @app.exception_handler(BondwrightError)
    async def own(_: Request, error: BondwrightError) -> Response:
        kind = kind_of(error)
        if kind.status >= 500:
            _log.error("answered %s: %s", kind.name, error)
        return kind.answer(error.faults if isinstance(error, Refused) else (), _challenge(error))

    @app.exception_handler(HTTPException)
    async def framework(request: Request, error: HTTPException) -> Response:
        kind = _OF_STATUS.get(error.status_code, INTERNAL)
        return kind.answer(headers={"Allow": allowed(request.scope)} if kind is WRONG_METHOD else None)

    @app.exception_handler(RequestValidationError)
    async def undeclared(_request: Request, _error: RequestValidationError) -> Response:
        return NOT_THE_SCHEMA.answer()  # the framework's own answer would repeat the caller's values


def _challenge(error: BondwrightError) -> dict[str, str] | None:
    """What RFC 6750 wants a refused caller to be told, and how long to wait."""
    if isinstance(error, KeyRefused):
        return {"WWW-Authenticate": 'Bearer realm="bondwright"'}
    if isinstance(error, ScopeMissing):
        return {"WWW-Authenticate": f'Bearer realm="bondwright", error="insufficient_scope", scope="{error.scope}"'}
    if isinstance(error, QuotaSpent):
        return {"Retry-After": str(error.retry_after_s), **headers_of(Allowance(error.per_minute, 0, error.retry_after_s))}
    if isinstance(error, Crowded):
        return {"Retry-After": str(error.retry_after_s)}
    if isinstance(error, CutOff):
        return {"Retry-After": _ANEW_S}
    return None
