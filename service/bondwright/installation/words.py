"""The choices and bounded values that descriptions are made of; `unknown` is one of each."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal, TypeAlias, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from bondwright.installation.shapes import UNIT, Chosen, Told
from bondwright.units import unit_of_field

Unknown: TypeAlias = Literal["unknown"]


def _iso_day(value: object) -> object:
    if not (isinstance(value, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value)):
        raise ValueError("a day is written as 2026-11-25")
    return value


TEXT_INSTEAD = "x-not-as-text"
"""Keyword of a schema that is a number: how it is written if people have it as text with a stroke."""
IN_WORDS = "x-in-words"
"""Keyword of a schema that is text: what fits its pattern, in words."""


class _NeverNull:
    """Reads what is there by its own schema, so that only what is left out is none."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        nullable: Any = handler(source)
        inner: CoreSchema = nullable["schema"]
        return inner


_Told = TypeVar("_Told")
LeftOut: TypeAlias = Annotated[_Told | None, _NeverNull()]
"""What may be left out, and is then none; it cannot be written as null."""

Day: TypeAlias = Annotated[date, Field(strict=False), BeforeValidator(_iso_day)]
"""A day as ISO 8601 writes it; no other text and no number is taken for one."""

YesNo: TypeAlias = Literal["yes", "no", "unknown"]

Stands: TypeAlias = Literal["inside", "outside", "both", "unknown"]
"""Where metal stands, seen from the building: `both` for what comes in from outside or is part of the building's shell."""
STANDS = (
    "Where it stands, seen from the building: `both` for what comes in from outside or is part of its shell. Left out, it stands where"
    " the rule pack says that such a thing usually does; write `unknown` where nobody knows."
)
TOUCHABLE_WITH_BUILDING = (
    "For metal outside: can it be touched together with metal of the building, or with Class I equipment used outdoors?"
)

Id: TypeAlias = Annotated[
    str,
    Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$",
        examples=["kitchen-water"],
        json_schema_extra={IN_WORDS: "letters, digits, dot, underscore and hyphen, a letter or digit first, 40 at most"},
    ),
]
LENGTH_BOUNDS_M = (0.0, 10000.0)
BORE_BOUNDS_MM = (1.0, 2000.0)

Length: TypeAlias = Annotated[float, Field(ge=LENGTH_BOUNDS_M[0], le=LENGTH_BOUNDS_M[1])] | Unknown
Bore: TypeAlias = Annotated[float, Field(ge=BORE_BOUNDS_MM[0], le=BORE_BOUNDS_MM[1])] | Unknown
Rating: TypeAlias = Annotated[float, Field(ge=0.1, le=6300)] | Unknown
Conductivity: TypeAlias = Annotated[float, Field(ge=1, le=100000)] | Unknown

ImperialSize: TypeAlias = Literal["7/.029", "7/.036", "7/.044", "7/.052", "7/.064"]
Size: TypeAlias = Annotated[float, Field(ge=0.1, le=1000)] | ImperialSize | Unknown

ReadingText: TypeAlias = Annotated[
    str,
    Field(
        pattern=r"^[<>]?[0-9]{1,6}(\.[0-9]{1,4})? (mohm|ohm|kohm|Mohm|Gohm|mΩ|Ω|kΩ|MΩ|GΩ)$",
        examples=["0.05 ohm", "<0.01 ohm", "150 kohm", ">999 MΩ"],
        json_schema_extra={IN_WORDS: "a number with a point, one space, and mohm, ohm, kohm, Mohm or Gohm, or Ω in their place"},
    ),
]
Reading: TypeAlias = ReadingText | Unknown

ToldFacts: TypeAlias = Mapping[str, str | float]
"""Facts that were told of a thing, by name: as words, a number in the unit of the fact, or for a resistance the text of a reading."""
ToldOfLocation: TypeAlias = Annotated[ToldFacts, Told("location", ReadingText)]
ToldOfItem: TypeAlias = Annotated[ToldFacts, Told("item", ReadingText)]
ToldOfService: TypeAlias = Annotated[ToldFacts, Told("service", ReadingText)]
ToldOfCircuit: TypeAlias = Annotated[ToldFacts, Told("circuit", ReadingText)]
TOLD = (
    "What rule packs ask besides, by the name of the fact; what is left out is unknown. A fact that the pack that judges does not ask is"
    " not used, and the answer says so."
)

_OPEN = ("unknown",)
ConductorMetal: TypeAlias = Annotated[str, Chosen("conductor_metal", _OPEN)]
Material: TypeAlias = Annotated[str, Chosen("material", _OPEN)]
ServiceKind: TypeAlias = Annotated[str, Chosen("service")]
Origin: TypeAlias = Annotated[str, Chosen("origin", _OPEN)]
FarEnd: TypeAlias = Annotated[str, Chosen("far_end", _OPEN)]
Surroundings: TypeAlias = Annotated[str, Chosen("surroundings", _OPEN)]
Touches: TypeAlias = Annotated[str, Chosen("touches", _OPEN)]
FedBy: TypeAlias = Annotated[str, Chosen("fed_by", _OPEN)]
Jointing: TypeAlias = Annotated[str, Chosen("joint", _OPEN)]
MeterBody: TypeAlias = Annotated[str, Chosen("meter_body", _OPEN)]
ReadingTo: TypeAlias = Annotated[str, Chosen("reading_to", _OPEN)]
Path: TypeAlias = Annotated[str, Chosen("path", _OPEN)]
Measure: TypeAlias = Annotated[str, Chosen("measure", _OPEN)]
Rcd: TypeAlias = Annotated[str, Chosen("rcd", _OPEN)]
DeviceType: TypeAlias = Annotated[str, Chosen("device", ("other", *_OPEN))]
ItemKind: TypeAlias = Annotated[str, Chosen("item")]
LocationKind: TypeAlias = Annotated[str, Chosen("location", _OPEN)]
PremisesKind: TypeAlias = Annotated[str, Chosen("premises", _OPEN)]


def _take_lists_for_tuples(schema: Any) -> None:
    """Makes it so for what a model holds, models in it left out, which see to it themselves."""
    members = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    for member in members:
        if isinstance(member, dict) and member.get("type") == "tuple":
            member["strict"] = False
        if not (isinstance(member, dict) and member.get("type") == "model"):
            _take_lists_for_tuples(member)


class Described(BaseModel):
    """Base of every described thing: unknown keys are refused, values are never coerced, nothing changes after reading.

    Each number says its unit in the schema, as its name has it.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """What reads the model from a JSON document as Python has it, where several things stand in a list."""
        schema = handler(source)
        _take_lists_for_tuples(schema)
        return schema

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """The schema of the model, each number with its unit."""
        schema = handler(core_schema)
        for name, member in handler.resolve_ref_schema(schema).get("properties", {}).items():
            _say_unit(name, member)
        return schema


def _say_unit(name: str, member: JsonSchemaValue) -> None:
    unit = unit_of_field(name)
    numbers = [one for one in member.get("anyOf", [member]) if one.get("type") == "number"]
    if unit is None or not numbers:
        return
    for number in numbers:
        number[UNIT] = unit
    member["description"] = f"{member['description']} Unit: {unit}."
