"""The document that callers build on, and the one that the service gives now."""

import json
from functools import cache
from pathlib import Path

from tests.compatibility.places import Document

OPENAPI = Path(__file__).parents[2] / "openapi"


@cache
def released_document() -> Document:
    """The document of the last release; do not change it."""
    return _read("released.json")


@cache
def current_document() -> Document:
    """The document that is kept for the service as it is; do not change it."""
    return _read("openapi.json")


def _read(name: str) -> Document:
    document: Document = json.loads((OPENAPI / name).read_text(encoding="utf-8"))
    return document
