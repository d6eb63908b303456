"""Writes the OpenAPI document: `uv run python -m bondwright.api > openapi/openapi.json`."""

import sys

import orjson

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright, Channels
from bondwright.audit.record import RecordStore
from bondwright.errors import EngineFault, RecordBroken
from bondwright.rulebook.pack import RulePack


def document_bytes() -> bytes:
    """The OpenAPI document as it is kept in `openapi/openapi.json`; it depends on no rule pack and no record."""
    document = create_app(Bondwright((), _no_store, _no_channels, versions={})).openapi()
    return orjson.dumps(document, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def _no_store() -> RecordStore:
    raise RecordBroken("a document needs no record")


def _no_channels(_: RulePack) -> Channels:
    raise EngineFault("a document needs no rules")


if __name__ == "__main__":
    sys.stdout.buffer.write(document_bytes())
