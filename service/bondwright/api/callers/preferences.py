"""The header Prefer (RFC 7240): how much of an answer a caller wants. What is not known here is passed over, as the standard has it."""

import re
from typing import Annotated, Any, TypeAlias

from fastapi import Header, Request

MINIMAL = "return=minimal"
"""The preference for an outline in the place of an answer."""
_RETURN = "return"
_QUOTED = r'"(?:[^"\\]|\\.)*+(?:"|$)'
_LISTED = re.compile(rf'(?:{_QUOTED}|[^,"])+')
_JOINED = re.compile(rf'(?:{_QUOTED}|[^;"])+')
_ESCAPED = re.compile(r"\\(.)")

Preference: TypeAlias = Annotated[
    str | None,
    Header(
        alias="Prefer",
        description=f"`{MINIMAL}` asks for the outline in the place of the evaluation (RFC 7240); what is not known is passed over.",
        json_schema_extra={"examples": [MINIMAL]},
    ),
]

APPLIED: dict[str, Any] = {
    "Preference-Applied": {
        "description": "Only where the body is an outline, because `Prefer` asked for it.",
        "schema": {"type": "string", "enum": [MINIMAL]},
    },
    "Vary": {"description": "The answer depends on `Prefer`, among others.", "required": True, "schema": {"type": "string"}},
}
"""What an operation answers that takes a preference."""
VARY = {"Vary": "Prefer"}


def preferred(request: Request) -> str:
    """Every header Prefer of the request, as one."""
    return ",".join(request.headers.getlist("prefer"))


def wants_outline(prefer: str | None) -> bool:
    """Whether the header asks for a minimal answer: of a preference that is named twice the first counts.

    >>> wants_outline('respond-async, Return="minimal"; foo=bar, return=representation')
    True
    """
    for named in _LISTED.findall(prefer or ""):
        preference = (_JOINED.findall(named) or [""])[0]
        name, _, value = preference.partition("=")
        if name.strip().lower() == _RETURN:
            return _plain(value.strip()).lower() == MINIMAL.partition("=")[2]
    return False


def _plain(value: str) -> str:
    """A word without the quotes that it may stand in."""
    return _ESCAPED.sub(r"\1", value[1:-1]) if len(value) > 1 and value[0] == value[-1] == '"' else value
