"""The header Idempotency-Key, as the draft of the IETF's HTTP API group has it (draft-ietf-httpapi-idempotency-key-header-07)."""

import re
from typing import Annotated, Any, TypeAlias

from fastapi import Header

from bondwright.errors import Fault, NotTheSchema

_LONGEST = 255
_SIGNS = r"[!#-\[\]-~]"
PATTERN = rf'^("{_SIGNS}{{1,{_LONGEST}}}"|{_SIGNS}{{1,{_LONGEST}}})$'
"""Printable ASCII without space, quote and backslash; in quotes as the draft wants it, or bare."""

IdempotencyKey: TypeAlias = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        description="Makes it safe to send the request again: a text of your own, never used for another request. It is kept for good.",
        json_schema_extra={"pattern": PATTERN, "examples": ['"2f1c7a52-8d1e-4c55-9a53-0f3e6f1f7b61"']},
    ),
]

REPLAYED: dict[str, Any] = {
    "Idempotency-Replayed": {
        "description": "Only on the first answer to a request that was sent again.",
        "schema": {"type": "string", "enum": ["true"]},
    }
}


def read_idempotency_key(header: str | None) -> str | None:
    """The key in the header, without its quotes; none, if there is no header. Raises: NotTheSchema."""
    if header is None:
        return None
    if not re.fullmatch(PATTERN, header):
        raise NotTheSchema((Fault("/Idempotency-Key", f"1 to {_LONGEST} printable ASCII signs but space, quote and backslash"),))
    return header.strip('"')
