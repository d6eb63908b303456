"""The document that callers build on, and the one that the service gives now."""

import json
from functools import cache
from pathlib import Path

from tests.compatibility.places import Document

OPENAPI = Path(__file__).parents[2] / "openapi"


RELEASED = OPENAPI / "released.json"
"""The document of the last release; while nothing has been released, there is none."""


@cache
def released_document() -> Document:
    """The document of the last release; while nothing has been released, the one that would be. Do not change it."""
    return _read(RELEASED if RELEASED.exists() else OPENAPI / "openapi.json")


@cache
def current_document() -> Document:
    """The document that is kept for the service as it is; do not change it."""
    return _read(OPENAPI / "openapi.json")


def _read(path: Path) -> Document:
    document: Document = json.loads(path.read_text(encoding="utf-8"))
    return document
