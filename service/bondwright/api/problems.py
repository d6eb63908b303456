"""Problem details (RFC 9457): the one place that turns an error into HTTP.

`type` is a reference to the page /docs of the same server, whose first part explains every problem. `errors` holds one entry per
fault, each with a JSON Pointer (RFC 6901) into the received document. The caller's values are never repeated.
"""

import logging
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Annotated, Any

import orjson
from fastapi import FastAPI, Request, Response
from pydantic import Field
from starlette.exceptions import HTTPException
from starlette.routing import Match, Route

from bondwright.access.quota import Allowance
from bondwright.api.metering import headers_of
from bondwright.errors import (
    BondwrightError,
    Contradiction,
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

MOST_BYTES = 1_000_000
"""Largest request body; a full description of a large building stays well below."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Problem:
    """Why there is no answer (RFC 9457)."""

    type: Annotated[str, Field(description="Which problem, as a reference; compare it, do not parse it.")]
    title: Annotated[str, Field(description="The problem in a few words.")]
    status: Annotated[int, Field(description="The HTTP status again.")]
    detail: Annotated[str, Field(description="What to do about it.")]
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
        return f"/docs#{self.name}"

    def answer(self, faults: tuple[Fault, ...] = (), headers: Mapping[str, str] | None = None) -> Response:
        """The problem as a response."""
        body = asdict(Problem(self.type, self.title, self.status, self.detail, faults))
        return Response(orjson.dumps(body), self.status, headers, MEDIA_TYPE)


NOT_JSON = Kind("not-json", 400, "Not JSON", "Send one JSON document in UTF-8, without repeated keys.")
NO_KEY = Kind("no-key", 401, "No key that is good", "Send `Authorization: Bearer KEY`. A key may be mistyped, expired or revoked.")
SCOPE_MISSING = Kind("scope-missing", 403, "The key is not for this", "Use a key with the scope that `WWW-Authenticate` names.")
UNKNOWN_NAME = Kind("unknown-name", 404, "Nothing of that name", "Check the path; ids are never reused or changed.")
WRONG_METHOD = Kind("wrong-method", 405, "Method not allowed", "The Allow header names the methods of this path.")
CONTRADICTION = Kind("contradiction", 409, "What was sent contradicts itself", "Correct the places named in `errors`.")
SENT_BEFORE = Kind(
    "sent-before", 409, "Idempotency key came with another request", "Send the first request unchanged, or this one under a new key."
)
TOO_LARGE = Kind("too-large", 413, "Too large", f"Send at most {MOST_BYTES:,} bytes, and a large building in several descriptions.")
WRONG_MEDIA_TYPE = Kind("wrong-media-type", 415, "Wrong media type", "Send application/json.")
NOT_THE_SCHEMA = Kind("not-the-schema", 422, "Not what this path takes", "Correct the places named in `errors`.")
TOO_MANY = Kind("too-many", 429, "Too many evaluations", "Wait as long as the header Retry-After says, then send it again.")
INTERNAL = Kind("internal", 500, "Fault of the service", "Not your request is at fault; the operator's log says more.")
DISAGREEMENT = Kind(
    "engine-disagreement",
    500,
    "No verdict is given",
    "The two independent readings of the rules differ, and a wrong verdict is worse than none.",
)
NOT_READY = Kind("not-ready", 503, "Not ready", "Rules or record cannot be used now. Take nothing for recorded, and try again later.")

KINDS = (
    NOT_JSON,
    NO_KEY,
    SCOPE_MISSING,
    UNKNOWN_NAME,
    WRONG_METHOD,
    CONTRADICTION,
    SENT_BEFORE,
    TOO_LARGE,
    WRONG_MEDIA_TYPE,
    NOT_THE_SCHEMA,
    TOO_MANY,
    INTERNAL,
    DISAGREEMENT,
    NOT_READY,
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
        return kind.answer(headers={"Allow": _allowed(request)} if kind is WRONG_METHOD else None)

    @app.exception_handler(Exception)
    async def unforeseen(_request: Request, _error: Exception) -> Response:
        return INTERNAL.answer()


def _challenge(error: BondwrightError) -> dict[str, str] | None:
    """What RFC 6750 wants a refused caller to be told."""
    if isinstance(error, KeyRefused):
        return {"WWW-Authenticate": 'Bearer realm="bondwright"'}
    if isinstance(error, ScopeMissing):
        return {"WWW-Authenticate": f'Bearer realm="bondwright", error="insufficient_scope", scope="{error.scope}"'}
    if isinstance(error, QuotaSpent):
        return {"Retry-After": str(error.retry_after_s), **headers_of(Allowance(error.per_minute, 0, error.retry_after_s))}
    return None


def _allowed(request: Request) -> str:
    """The methods of every route at this path; the framework names those of the first route only."""
    at_path = [route for route in request.app.routes if isinstance(route, Route) and route.matches(request.scope)[0] != Match.NONE]
    # The files behind /docs are mounted: inside a mount no route of ours matches, and files can only be read.
    return ", ".join(sorted({method for route in at_path for method in route.methods or ()})) or "GET, HEAD"
