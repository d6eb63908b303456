"""Edits of an OpenAPI document, for showing what each does to callers."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from tests.compatibility.places import Document
from tests.compatibility.released import judged_document

Key = str | int
Edit = Callable[[Document], None]


def edited(*edits: Edit) -> Document:
    """The judged document with `edits` made."""
    document: Document = json.loads(_judged_text())
    for edit in edits:
        edit(document)
    return document


@cache
def _judged_text() -> str:
    return json.dumps(judged_document())  # read again, it is a copy, five times as fast as copying what was read


def put(value: Any, *keys: Key) -> Edit:
    """Puts `value` where `keys` lead; whatever is missing on the way is made."""

    def edit(document: Document) -> None:
        holder: Any = document
        for key in keys[:-1]:
            holder = holder.setdefault(key, {}) if isinstance(holder, dict) else holder[key]
        holder[keys[-1]] = value

    return edit


def drop(*keys: Key) -> Edit:
    """Takes away what stands where `keys` lead."""

    def edit(document: Document) -> None:
        del _at(document, *keys[:-1])[keys[-1]]

    return edit


def more(value: Any, *keys: Key) -> Edit:
    """Adds `value` to the end of the list where `keys` lead; an empty list is made if none is there."""

    def edit(document: Document) -> None:
        holder = _at(document, *keys[:-1])
        holder[keys[-1]] = [*holder.get(keys[-1], []), value]

    return edit


def less(value: Any, *keys: Key) -> Edit:
    """Takes `value` out of the list where `keys` lead."""

    def edit(document: Document) -> None:
        _at(document, *keys).remove(value)

    return edit


def _at(document: Document, *keys: Key) -> Any:
    there: Any = document
    for key in keys:
        there = there[key]
    return there
