"""What the wall of a metal pipe conducts."""

from typing import Annotated, TypeAlias

from pydantic import ConfigDict, Field

from bondwright.calculations.answer import TableRow
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, needed, quantity, step
from bondwright.calculations.inputs import BoreMm, Inputs
from bondwright.calculators.pipes import tube_area, tube_copper_equivalent, tube_resistance_per_metre
from bondwright.errors import Contradiction, Fault
from bondwright.facts.conductors import metal_of_sizes
from bondwright.installation.shapes import Chosen
from bondwright.installation.words import IN_WORDS, LeftOut

_RESISTIVITIES, _TUBES = "metal-resistivity", "tubes"
_BY_OUTSIDE, _BY_NOMINAL = "wall_by_outside", ("outside_by_nominal", "wall_by_nominal")
"""Columns of the table of tubes: the reference tables of a metal."""
_Nominal: TypeAlias = Annotated[
    str, Field(pattern=r"^dn[1-9][0-9]{0,3}$", json_schema_extra={IN_WORDS: "dn in small letters, and the size in digits"})
]
_VALIDITY = (
    "holds_sound_metal",
    "holds_deoxidised_copper",
    "holds_pipe_is_no_conductor",
)


class PipeConductanceInputs(Inputs):
    """A pipe by its dimensions, a copper tube by its outside diameter alone, or a steel tube by its nominal size."""

    metal: Annotated[str, Chosen(f"{_RESISTIVITIES}/metal")] = Field(description="Metal of the pipe.")
    outside_mm: LeftOut[BoreMm] = Field(None, description="Outside diameter; alone it is enough for a copper tube.")
    wall_mm: LeftOut[Annotated[float, Field(ge=0.1, le=100)]] = Field(None, description="Thickness of the wall.")
    nominal: LeftOut[_Nominal] = Field(
        None, description="Nominal size of a medium steel tube, in place of the diameter and wall.", examples=["dn25"]
    )

    model_config = ConfigDict(json_schema_extra={"examples": [{"metal": "copper", "outside_mm": 15}]})


def _conductance(asked: PipeConductanceInputs, bench: Bench) -> Worked:
    outside_mm, wall_mm = _dimensions(asked, bench)
    of_sizes = metal_of_sizes(bench.pack)
    own, copper = (bench.cell(_RESISTIVITIES, metal, place="/metal") for metal in (asked.metal, of_sizes))
    area = quantity("metal_area", tube_area(outside_mm, wall_mm), "mm2")
    per_metre = quantity("resistance_per_metre", tube_resistance_per_metre(outside_mm, wall_mm, own), "ohm/m")
    same = quantity("copper_equivalent", tube_copper_equivalent(outside_mm, wall_mm, own, copper), "mm2")
    tube = (quantity("outside", outside_mm, "mm"), quantity("wall", wall_mm, "mm"))
    rho, rho_copper = quantity("rho", own, "ohm·mm2/m"), quantity("rho_copper", copper, "ohm·mm2/m")
    metals = tuple(bench.row(_RESISTIVITIES, metal) for metal in dict.fromkeys((asked.metal, of_sizes)))
    says = bench.say("step_solid_metal", metal=of_sizes)
    working = (
        step(bench.say("step_metal_across"), "metal_area = pi (outside - wall) wall", tube, area, _tube_rows(asked, bench)),
        step(bench.say("step_metre_along"), "resistance_per_metre = rho / metal_area", (rho, area), per_metre, metals[:1]),
        step(says, "copper_equivalent = metal_area rho_copper / rho", (area, rho_copper, rho), same, metals),
    )
    return Worked((area, per_metre, same), working)


def _dimensions(asked: PipeConductanceInputs, bench: Bench) -> tuple[float, float]:
    """Outside diameter and wall in mm, as given or from the tables of tubes. Raises: Contradiction."""
    if asked.nominal is not None:
        _require_nominal_alone(asked, bench)
        found = [bench.cell(table, asked.nominal, place="/nominal") for table in _by_nominal(asked.metal, bench)]
        return found[0], found[1]
    outside_mm = needed(asked, "outside_mm")
    walls = bench.pack.told(_TUBES, asked.metal, _BY_OUTSIDE)
    if asked.wall_mm is None and walls:
        return outside_mm, bench.cell(walls, outside_mm, place="/outside_mm")
    return outside_mm, needed(asked, "wall_mm")


def _tube_rows(asked: PipeConductanceInputs, bench: Bench) -> tuple[TableRow, ...]:
    """The rows of the tables of tubes that `_dimensions` reads."""
    if asked.nominal is not None:
        return tuple(bench.row(table, asked.nominal) for table in _by_nominal(asked.metal, bench))
    return (bench.row(bench.pack.told(_TUBES, asked.metal, _BY_OUTSIDE), needed(asked, "outside_mm")),) if asked.wall_mm is None else ()


def _by_nominal(metal: str, bench: Bench) -> tuple[str, ...]:
    """The tables of outside diameter and wall of a metal by the nominal size; empty words where it has none."""
    return tuple(bench.pack.told(_TUBES, metal, column) for column in _BY_NOMINAL)


def _require_nominal_alone(asked: PipeConductanceInputs, bench: Bench) -> None:
    faults = [
        Fault(f"/{name}", "leave it out where the nominal size is given, which says it")
        for name in ("outside_mm", "wall_mm")
        if getattr(asked, name) is not None
    ]
    sold = [metal for metal in bench.pack.rows(_TUBES) if all(_by_nominal(metal, bench))]
    if asked.metal not in sold:
        faults.append(Fault("/metal", f"must be {' or '.join(sold)} where the nominal size is given"))
    if faults:
        raise Contradiction(tuple(faults))


PIPE_CONDUCTANCE = Calculation("pipe-conductance", PipeConductanceInputs, _VALIDITY, _conductance)
