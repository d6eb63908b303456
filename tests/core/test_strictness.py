"""Nothing that is sent is taken for something else: every member of every object that the API reads, one by one.

Schemathesis sees none of this: a service that took "22" for 22, or true for 1, kept every promise of its document (2026-11-25).
"""

import json
import math
from collections.abc import Iterator
from functools import cache
from typing import Any, get_args

import pytest
from pydantic import BaseModel
from tests.described import schema_of, terms

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.errors import Fault, NotTheSchema
from bondwright.installation.description import Installation
from bondwright.installation.documents import pointer, read_document


@cache
def models() -> dict[str, type[BaseModel]]:
    """Every model that a request is read by, by name."""
    found: dict[str, type[BaseModel]] = {}
    left: list[Any] = [Installation, *(calculation.inputs for calculation in CALCULATIONS.values())]
    while left:
        one = left.pop()
        if isinstance(one, type) and issubclass(one, BaseModel) and one.__name__ not in found:
            found[one.__name__] = one
            left += [field.annotation for field in one.model_fields.values()]
        left += get_args(one)
    return found


def members(kind: str = "") -> Iterator[tuple[str, str]]:
    """Model and name of every member, or of those that may be of this kind of JSON."""
    for model in models().values():
        schema = schema_of(model)
        for name, member in schema["properties"].items():
            if not kind or any(one.get("type") == kind for one in alternatives(member, schema.get("$defs", {}))):
                yield model.__name__, name


def alternatives(schema: dict[str, Any], named: dict[str, Any]) -> list[dict[str, Any]]:
    """What a member may be, one schema each."""
    if "$ref" in schema:
        return alternatives(named[schema["$ref"].rpartition("/")[2]], named)
    return [one for member in schema.get("anyOf", schema.get("oneOf", ())) for one in alternatives(member, named)] or [schema]


def is_refused(model: str, name: str, value: str) -> bool:
    """Whether an object of that model with that member alone has a fault there or within; `value` as JSON writes it."""
    places = [fault.pointer for fault in faults(model, name, value)]
    return any(place == pointer((name,)) or place.startswith(pointer((name, ""))) for place in places)


def faults(model: str, name: str, value: str) -> tuple[Fault, ...]:
    """What is wrong with an object of that model with that member alone."""
    try:
        read_document(f"{{{json.dumps(name)}: {value}}}".encode(), models()[model], terms())
    except NotTheSchema as refusal:
        return refusal.faults
    return ()


def fitting(model: str, name: str) -> int:
    """A whole number that the member takes."""
    schema = schema_of(models()[model])
    bounds: list[float] = [one["minimum"] for one in alternatives(schema["properties"][name], schema.get("$defs", {})) if "minimum" in one]
    return math.ceil(min(bounds))


def test_there_is_something_to_test() -> None:
    assert len(models()) > 40
    assert len(list(members("number"))) > 60


@pytest.mark.parametrize("value", ['"22"', "true", "false", "[22]", '{"value": 22}', '""'])
def test_nothing_but_a_number_is_taken_for_a_number(value: str) -> None:
    assert [member for member in members("number") if not is_refused(*member, value)] == []


def test_a_whole_number_may_be_written_with_a_point_or_without() -> None:
    refused = [
        (member, written)
        for member in members("number")
        for written in (f"{fitting(*member)}", f"{fitting(*member)}.0", f"{fitting(*member)}.0e0")
        if is_refused(*member, written)
    ]

    assert refused == []


@pytest.mark.parametrize("value", ["22", "true", '["unknown"]'])
def test_nothing_but_text_is_taken_for_text(value: str) -> None:
    texts = set(members("string")) - set(members("number")) - set(members("array"))

    assert [member for member in texts if not is_refused(*member, value)] == []


def test_null_is_taken_for_nothing() -> None:
    assert [member for member in members() if not is_refused(*member, "null")] == []


def test_no_schema_of_a_request_has_null() -> None:
    assert list(members("null")) == []


@pytest.mark.parametrize("value", ["1", '"unknown"', "null", "{}"])
def test_a_member_that_nobody_knows_is_refused(value: str) -> None:
    # A name that is nearly none of ours is not repeated: the fault is at the object that has it.
    told = {model: [fault.detail for fault in faults(model, "qqqqqqqq", value) if fault.pointer == ""] for model in models()}

    assert [model for model, details in told.items() if not any("unknown" in detail for detail in details)] == []
