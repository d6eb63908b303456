"""Whether one schema takes everything that another takes.

jsonschema-rs decides it. Its yes is a proof; whatever it cannot decide counts as no. Formats are read as conditions.
"""

import json
from functools import lru_cache
from typing import Any

import jsonschema_rs
from jsonschema_rs.canonical import Containment
from tests.compatibility.places import Document, Place, references


def takes_all_of(wider: Place, narrower: Place) -> bool:
    """Whether every value that the schema at `narrower` takes is surely taken by that at `wider`."""
    try:
        one, other = _text(self_contained(wider)), _text(self_contained(narrower))
    except KeyError:  # a reference that leads nowhere
        return False
    return one == other or _covers(one, other)


def self_contained(schema: Place) -> Document:
    """The schema with every schema that it refers to, as a document of its own."""
    named = {name: schema.document["components"]["schemas"][name] for name in named_in(schema.document, schema.value)}
    return {"allOf": [schema.value], "components": {"schemas": named}}


def named_in(document: Document, value: Any) -> set[str]:
    """Names of the schemas that `value` refers to, and that these refer to in turn."""
    names: set[str] = set()
    to_follow = references(_text(value))
    while to_follow:
        names |= to_follow
        to_follow = set().union(*(references(_text(document["components"]["schemas"][name])) for name in to_follow)) - names
    return names


def _text(value: Any) -> str:
    return json.dumps(value, sort_keys=True)


@lru_cache(maxsize=4096)
def _covers(wider: str, narrower: str) -> bool:
    try:
        return _canonical(wider).covers(_canonical(narrower)) is Containment.YES
    except (ValueError, jsonschema_rs.ReferencingError):  # no schema, or one that cannot be read
        return False


@lru_cache(maxsize=1024)
def _canonical(text: str) -> jsonschema_rs.CanonicalSchema:
    return jsonschema_rs.canonicalize(json.loads(text), draft=jsonschema_rs.Draft202012, validate_formats=True)
