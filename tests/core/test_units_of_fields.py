"""Every number that a request may hold says its unit: in its name or its description, and in the message that refuses another value."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from pydantic import BaseModel
from tests.described import described, schema_of, terms

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.errors import Refused
from bondwright.installation.description import Installation
from bondwright.installation.documents import read_document
from bondwright.units import unit_of_field

COUNTED = {"count"}
"""Numbers that count things."""
MODELS = [Installation, *(one.inputs for one in CALCULATIONS.values())]


def _number(schema: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """The branch of a schema that is a number."""
    return next((one for one in schema.get("anyOf", [schema]) if one.get("type") == "number"), None)


def _numbers(model: type[BaseModel]) -> Iterator[tuple[str, Mapping[str, Any], Mapping[str, Any]]]:
    """Each member that may be a number: its name, its schema and the branch of that which is the number."""
    schema = schema_of(model)
    for held in (schema, *schema.get("$defs", {}).values()):
        for name, member in held.get("properties", {}).items():
            if number := _number(member):
                yield name, member, number


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_number_has_its_unit_in_the_schema(model: type[BaseModel]) -> None:
    without = [name for name, _, number in _numbers(model) if "x-unit" not in number and name not in COUNTED]

    assert without == []


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_description_of_a_number_ends_with_its_unit(model: type[BaseModel]) -> None:
    said = [(name, member["description"]) for name, member, _ in _numbers(model) if name not in COUNTED]

    assert [name for name, words in said if not words.endswith(f" Unit: {unit_of_field(name)}.")] == []


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("size_mm2", "mm²"),
        ("bore_mm", "mm"),
        ("length_m", "m"),
        ("rated_a", "A"),
        ("rcd_rating_ma", "mA"),
        ("voltage_v", "V"),
        ("measured_ohm", "ohm"),
        ("ohm", "ohm"),
        ("time_s", "s"),
        ("power_w", "W"),
        ("temperature_c", "°C"),
        ("conductivity_us_per_cm", "µS/cm"),
        ("size", "mm²"),
        ("cpc", "mm²"),
        ("k", "A·√s/mm²"),
        ("count", None),
        ("is_m", "m"),
        ("data", None),
        ("_m", None),
    ],
)
def test_the_unit_follows_from_the_name(name: str, unit: str | None) -> None:
    assert unit_of_field(name) == unit


@pytest.mark.parametrize(
    ("document", "pointer", "says"),
    [
        ({"supply": {"cut_out_rating_a": 7000}}, "/supply/cut_out_rating_a", "write a number from 0.1 to 6300, in A, or `unknown`"),
        ({"supply": {"neutral": {"size": 2000}}}, "/supply/neutral/size", "write a number from 0.1 to 1000, in mm², or one of `7/.029`"),
        ({"services": [{"kind": "gas", "bonds": [{"on": "entering_pipe", "length_m": -1}]}]}, "/services/0/bonds/0/length_m", ", in m, "),
        ({"items": [{"kind": "tap", "count": 0}]}, "/items/0/count", "write a number from 1 to 1000"),
    ],
)
def test_a_number_out_of_range_is_told_its_unit(document: Any, pointer: str, says: str) -> None:
    with pytest.raises(Refused) as refused:
        described({"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, **document})

    said = {fault.pointer: fault.detail for fault in refused.value.faults}
    assert says in said[pointer]


@pytest.mark.parametrize("given", ["10 mm2", "10", "10,5"])
def test_a_number_in_text_is_told_to_be_bare(given: str) -> None:
    inputs = CALCULATIONS["conductor-resistance"].inputs

    with pytest.raises(Refused) as refused:
        read_document(json.dumps({"length_m": 20, "size_mm2": given}).encode(), inputs, terms())

    (fault,) = refused.value.faults
    assert fault.detail == "write a number from 0.1 to 1000, in mm²; the number alone, with no quotation marks and no unit after it"
