"""What the calculations of this folder share: rows that must be there, packs that must know a size, and copper equivalents."""

from typing import Literal, TypeAlias

from bondwright.calculations.answer import Quantity, Step, TableRow
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import quantity, step
from bondwright.calculations.inputs import SizedMetal
from bondwright.calculators.conductors import copper_equivalent
from bondwright.errors import Contradiction, Fault
from bondwright.facts.conductors import BY_RESISTANCE, BY_SIZE, CABLE, RESISTANCES, compared_by, metal_of_sizes
from bondwright.rulebook.facts import Between
from bondwright.rulebook.reference import Key
from bondwright.units import significant

YesOrNo: TypeAlias = Literal["yes", "no"]

COPPER_ALONE = "holds_small_ones_are_copper"
"""A limit of validity of what is sized in copper, by the code of its sentence."""

REFERENCE_C = 20
"""The temperature at which the tables of resistances and resistivities state them."""


def require_row(bench: Bench, table: str, place: str, *keys: Key) -> None:
    """Pass if a row of the table begins with these keys, or the pack has no such table at all.

    Raises: Contradiction at `place`, the input that the last key is, with what may stand there.
    """
    rows = [row for row, _ in bench.pack.table(table)] if bench.pack.has_table(table) else []
    before = len(keys) - 1
    if rows and not any(row[: len(keys)] == keys for row in rows):
        known = dict.fromkeys(str(row[before]) for row in rows if row[:before] == keys[:-1])
        raise Contradiction((Fault(place, f"must be one of {', '.join(known)} with the other inputs as they are"),))


def require_sizing(bench: Bench, *outcomes: str) -> None:
    """Pass if the pack's rules conclude these sizes. Raises: Contradiction, if they know another kind of sizing."""
    if not all(outcome in bench.pack.outcomes for outcome in outcomes):
        raise Contradiction((Fault("/rule_pack", "the rules of this pack size such a conductor from other facts; name another pack"),))


def as_fact(bench: Bench, fact: str, copper_mm2: float, place: str) -> Between:
    """A size of copper in mm² as the number fact named.

    Raises: Contradiction at `place`, the input that it came from, if it lies outside what the pack knows of such sizes.
    """
    held = bench.pack.fact(fact)
    if not held.lowest <= copper_mm2 <= held.highest:
        way_out = f"comes to {copper_mm2:.4g} mm² of copper; write a size that comes to {held.lowest:g} to {held.highest:g} mm² of copper"
        raise Contradiction((Fault(place, way_out),))
    return Between(copper_mm2, copper_mm2)


def equivalent(size_mm2: float, metal: SizedMetal, of: str, bench: Bench) -> tuple[float, Step]:
    """The size in mm² of the copper conductor with the same conductance, and the step that found it. `of`: what is compared.

    Raises: Contradiction, if the pack has no table for the metal.
    """
    given = quantity(of, size_mm2, "mm2")
    used: tuple[Quantity, ...] = (given,)
    rows: tuple[TableRow, ...] = ()
    pack, compared = bench.pack, compared_by(bench.pack, metal)
    of_sizes = metal_of_sizes(pack)
    if not compared:
        raise pack.fault(f"does not say how a conductor of {metal} compares with others")
    if compared == BY_SIZE:
        found, formula = size_mm2, f"copper_equivalent = {of}"
    elif compared != BY_RESISTANCE:
        ratio = bench.value(compared)
        found = copper_equivalent(size_mm2, {1: ratio}, {1: 1})
        formula, used = f"copper_equivalent = {of} / {compared}", (given, quantity(compared, ratio, "of one"))
    else:
        theirs, copper = bench.column(RESISTANCES, metal, CABLE), bench.column(RESISTANCES, of_sizes, CABLE)
        found = copper_equivalent(size_mm2, theirs, copper)
        rows = (
            *bench.around(RESISTANCES, metal, CABLE, at=size_mm2),
            *bench.around(RESISTANCES, of_sizes, CABLE, at=significant(found)),
        )
        equation = f"G({of_sizes}, copper_equivalent) = G({metal}, {of})"
        formula = bench.say("formula_conductances", formula=equation, conductance="G")
    same = bench.say("step_same_metal", metal=metal)
    says = same if compared == BY_SIZE else bench.say("step_same_conductance", sizes=of_sizes, metal=metal)
    return found, step(says, formula, used, quantity("copper_equivalent", found, "mm2"), rows)
