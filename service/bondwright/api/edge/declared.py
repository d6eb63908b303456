"""What the edge adds to every operation of the OpenAPI document: its statuses, its headers."""

from typing import Any

from bondwright.api.edge.compression import SMALLEST
from bondwright.api.edge.request_ids import HEADER
from bondwright.api.edge.shedding import SPARED
from bondwright.api.problems import (
    NOT_ACCEPTABLE,
    NOT_THE_SCHEMA,
    TOO_BUSY,
    TOO_LARGE,
    TOO_SLOW,
    WRONG_ENCODING,
    WRONG_METHOD,
    Kind,
    problem,
)

_TEXT = {"schema": {"type": "string"}}
HEADERS: dict[str, Any] = {
    HEADER: {
        "description": "Id of this request, given here; one that you send is not taken over.",
        "required": True,
        "schema": {"type": "string", "format": "uuid"},
    },
    "ETag": {
        "description": "SHA-256 of the body as it is; weak (`W/`) where it comes compressed. Send it back in `If-None-Match`.",
        "required": True,
        **_TEXT,
    },
    "Cache-Control": {
        "description": "`no-cache`: keep it, and ask by `If-None-Match` if it still stands.",
        "required": True,
        **_TEXT,
    },
    "Retry-After": {"description": "Seconds to wait, where the service is too busy.", **_TEXT},
    "Content-Encoding": {
        "description": f"How the body is compressed, if `Accept-Encoding` admits it and it has {SMALLEST:,} bytes or more.",
        "schema": {"type": "string", "enum": ["gzip", "zstd"]},
    },
}
"""Headers that the operations refer to."""

_IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "Entity tags that you have: if one still stands, the answer is 304 without a body.",
    **_TEXT,
}


def declare_edge(path: str, method: str, operation: dict[str, Any]) -> None:
    """Adds to one operation what it can answer before or instead of its route."""
    responses: dict[str, Any] = operation["responses"]
    _declare(responses, WRONG_METHOD, NOT_ACCEPTABLE, NOT_THE_SCHEMA)
    if "requestBody" in operation:
        _declare(responses, TOO_SLOW, TOO_LARGE, WRONG_ENCODING)
    if path not in SPARED:
        _declare(responses, TOO_BUSY)
        responses["503"]["headers"] = _refer("Retry-After")
    if method == "get" and path not in SPARED:
        kept = _refer("ETag", "Cache-Control")
        responses["200"]["headers"] = responses["200"].get("headers", {}) | kept
        own = {name: header for name, header in responses["200"]["headers"].items() if name.startswith(("Rule-Pack", "RateLimit"))}
        responses["304"] = {"description": "What you have still stands", "headers": kept | own}
        operation["parameters"] = [*operation.get("parameters", ()), _IF_NONE_MATCH]
    for response in responses.values():
        coded = _refer("Content-Encoding") if "content" in response else {}
        response["headers"] = response.get("headers", {}) | _refer(HEADER) | coded


def _declare(responses: dict[str, Any], *kinds: Kind) -> None:
    for kind in kinds:
        (status, declared), *_ = problem(kind).items()
        before = responses.get(str(status))
        titles = [*(before["description"].split("; ") if before else ()), declared["description"]]
        responses[str(status)] = {**(before or declared), "description": "; ".join(dict.fromkeys(titles))}


def _refer(*names: str) -> dict[str, Any]:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}
