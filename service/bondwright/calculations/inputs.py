"""What calculations are asked: strict models with units in their names and ranges in which a figure makes sense."""

from typing import Annotated, TypeAlias

from pydantic import Field

from bondwright.calculations.rows import imperial_sizes
from bondwright.installation.shapes import Chosen
from bondwright.installation.words import TEXT_INSTEAD, Described


class Inputs(Described):
    """Base of the inputs of every calculation."""

    rule_pack: Annotated[str, Field(pattern=r"^[a-z0-9-]{0,80}$")] = Field(
        "", description="Id or digest of the rule pack whose values are used; empty: the newest.", examples=["bs7671-2018-a4-r11"]
    )


SizeMm2: TypeAlias = Annotated[float, Field(ge=0.1, le=1000, json_schema_extra={TEXT_INSTEAD: imperial_sizes()})]
LengthM: TypeAlias = Annotated[float, Field(ge=0, le=10000)]
BoreMm: TypeAlias = Annotated[float, Field(ge=1, le=2000)]
CurrentA: TypeAlias = Annotated[float, Field(ge=0.001, le=1_000_000)]
RatedA: TypeAlias = Annotated[float, Field(ge=0.1, le=6300)]
VoltageV: TypeAlias = Annotated[float, Field(ge=1, le=1000)]
RatedV: TypeAlias = Annotated[float, Field(ge=100, le=300)]
Ohm: TypeAlias = Annotated[float, Field(ge=0, le=1_000_000_000)]
SomeOhm: TypeAlias = Annotated[float, Field(ge=0.000001, le=1_000_000_000)]
SizedMetal: TypeAlias = Annotated[str, Chosen("conductor_metal", never=("unknown",))]
TemperatureC: TypeAlias = Annotated[float, Field(ge=-50, le=300)]
ConductivityUsPerCm: TypeAlias = Annotated[float, Field(ge=1, le=100000)]
