"""An earth fault in one piece of equipment: what stands between any two parts that conduct, with and without bonding.

The description says what is there; the supply system follows from it. TN-S and TN-C-S have a metal return to the source
(protective conductor or PEN), TT has electrodes alone. Everything is a resistance, so all voltages are in phase.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from msgspec import Struct

from bondwright.calculators.networks.linear import Branch, Network, Source, joint, solve
from bondwright.calculators.ranges import OutOfRange, require_positive

CASE = "case"
TERMINAL = "terminal"
EARTH = "earth"
"""Names for the case of the faulty equipment, the main earthing terminal and true earth, where a part is asked for."""


class Supply(Struct, frozen=True):
    """What lies between the source and the origin of the installation; every resistance zero or more.

    `u0_v`: voltage of line to star point, with its voltage factor, above zero. `source_ohm`: the winding. `line_ohm`: line
    from source to origin. `return_ohm`: protective conductor or PEN from the main earthing terminal to the star point;
    none in TT. `source_electrode_ohm`: star point to true earth; zero if the two are taken as one.
    """

    u0_v: float
    source_ohm: float
    line_ohm: float
    return_ohm: float | None
    source_electrode_ohm: float


class Circuit(Struct, frozen=True):
    """The circuit with the fault; every resistance zero or more.

    `r1_ohm`: line from origin to equipment. `r2_ohm`: protective conductor from case to main earthing terminal; none if
    it is broken or missing. `fault_ohm`: the fault itself, zero if it is dead.
    """

    r1_ohm: float
    r2_ohm: float | None
    fault_ohm: float


class Part(Struct, frozen=True):
    """Another part that conducts, such as a pipe, or the case of sound equipment; every resistance zero or more.

    `to_earth_ohm`: to true earth by itself, none if it has no contact. `main_bond_ohm`: to the main earthing terminal by
    its bond, or by its own protective conductor; none if there is neither.
    """

    name: str
    to_earth_ohm: float | None
    main_bond_ohm: float | None


class SupplementaryBond(Struct, frozen=True):
    """A bond of zero ohm or more between two of: a part by its name, `CASE`, `TERMINAL`, `EARTH`."""

    a: str
    b: str
    ohm: float


class EarthFault(Struct, frozen=True):
    """One fault from line to case; `electrode_ohm` is from the main earthing terminal to true earth, none if there is none."""

    supply: Supply
    circuit: Circuit
    electrode_ohm: float | None
    parts: tuple[Part, ...] = ()
    supplementary_bonds: tuple[SupplementaryBond, ...] = ()


class FaultVoltages(Struct, frozen=True):
    """What the fault brings: `to_earth_v` has the case, the terminal and each part against true earth, rms, by name."""

    fault_current_a: float
    to_earth_v: Mapping[str, float]

    def between(self, a: str, b: str) -> float:
        """Touch voltage in volt, zero or more, between two of: a part by its name, `CASE`, `TERMINAL`, `EARTH`.

        It stands there before anyone touches. Raises: OutOfRange, if there is no such part.
        """
        known = {EARTH: 0.0, **self.to_earth_v}
        _require_parts((a, b), known)
        return abs(known[a] - known[b])


def fault_network(fault: EarthFault) -> Network:
    """The linear network of a described fault, with true earth as its reference.

    Raises: OutOfRange, if a value is out of range, a name is taken twice, or a part has contact with nothing.
    """
    require_positive(u0_v=fault.supply.u0_v)
    known = (EARTH, CASE, TERMINAL, *(part.name for part in fault.parts))
    for bond in fault.supplementary_bonds:
        _require_parts((bond.a, bond.b), known)
    return Network(EARTH, (*known, "star point", "winding", "source", "origin", "equipment"), tuple(_branches(fault)))


def fault_voltages(fault: EarthFault) -> FaultVoltages:
    """Fault current and voltages of a described fault, as long as nothing has disconnected it.

    Raises: OutOfRange, as `fault_network` and `solve` do.
    Source: Kirchhoff's laws on the described network; no formula for any one case.

    >>> supply = Supply(230, source_ohm=0, line_ohm=0.2, return_ohm=0.15, source_electrode_ohm=0)
    >>> fault = EarthFault(supply, Circuit(0.3, 0.46, 0), None, (Part("water", 20, None),))
    >>> round(fault_voltages(fault).between("case", "water"), 2)
    126.4
    """
    solution = solve(fault_network(fault))
    parts = (CASE, TERMINAL, *(part.name for part in fault.parts))
    return FaultVoltages(abs(solution.current("fault")), {name: solution.voltage(name, EARTH).real for name in parts})


def _require_parts(names: Iterable[str], known: Collection[str]) -> None:
    for name in names:
        if name not in known:
            raise OutOfRange(f"number of parts called {name}", 0, f"one of: {', '.join(known)}")


def _branches(fault: EarthFault) -> Iterator[Branch]:
    supply, circuit = fault.supply, fault.circuit
    yield Source("mains", "winding", "star point", supply.u0_v)
    wanted: list[tuple[str, str, str, float | None]] = [
        ("source", "winding", "source", supply.source_ohm),
        ("line", "source", "origin", supply.line_ohm),
        ("r1", "origin", "equipment", circuit.r1_ohm),
        ("fault", "equipment", CASE, circuit.fault_ohm),
        ("r2", CASE, TERMINAL, circuit.r2_ohm),
        ("return", TERMINAL, "star point", supply.return_ohm),
        ("source electrode", "star point", EARTH, supply.source_electrode_ohm),
        ("electrode", TERMINAL, EARTH, fault.electrode_ohm),
    ]
    for part in fault.parts:
        wanted.append((f"{part.name} to earth", part.name, EARTH, part.to_earth_ohm))
        wanted.append((f"main bond to {part.name}", TERMINAL, part.name, part.main_bond_ohm))
    for at, bond in enumerate(fault.supplementary_bonds, start=1):
        wanted.append((f"supplementary bond {at}", bond.a, bond.b, bond.ohm))
    for name, a, b, ohm in wanted:
        if ohm is not None:
            yield joint(name, a, b, ohm)
