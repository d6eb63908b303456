"""Descriptions as tests read them: in the terms of the packs that stand, as strictly as one that was sent."""

import json
from functools import cache
from typing import Any

from pydantic import BaseModel

from bondwright.installation.description import Installation
from bondwright.installation.documents import read_document
from bondwright.installation.reading import read_installation
from bondwright.installation.shapes import json_schema
from bondwright.installation.terms import Terms
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import PublishedPack, on_shelf
from bondwright.shelf.withdrawn import withdrawn_packs


@cache
def standing() -> tuple[PublishedPack, ...]:
    """The packs that stand."""
    packs = on_shelf(rules_folder())
    gone = withdrawn_packs(rules_folder(), packs)
    return tuple(pack for pack in packs if pack.pack_id not in gone)


@cache
def terms() -> Terms:
    """What descriptions may say, as the service has it."""
    return terms_of(standing())


def read(raw: bytes) -> Installation:
    """A description as it was sent."""
    return read_installation(raw, terms())


def described(said: Any) -> Installation:
    """A description in Python's own objects, whatever ids it gives twice."""
    return read_document(json.dumps(said).encode(), Installation, terms())[0]


def schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """The JSON Schema of a model that a request is read by."""
    return json_schema(model, terms())
