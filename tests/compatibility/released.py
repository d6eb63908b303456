"""The document that callers build on, once there is one, and the one that the service gives now."""

import json
from functools import cache
from pathlib import Path

from tests.compatibility.places import Document

OPENAPI = Path(__file__).parents[2] / "openapi"
RELEASED = OPENAPI / "released.json"
CURRENT = OPENAPI / "openapi.json"


@cache
def judged_document() -> Document:
    """The document by which changes are judged, do not change it: that of the last release, or, before the first, the present one."""
    return _read(RELEASED if RELEASED.exists() else CURRENT)


@cache
def current_document() -> Document:
    """The document that is kept for the service as it is; do not change it."""
    return _read(CURRENT)


def _read(path: Path) -> Document:
    document: Document = json.loads(path.read_text(encoding="utf-8"))
    return document
