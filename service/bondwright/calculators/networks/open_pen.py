"""A broken PEN: what the main earthing terminal, and all metalwork bonded to it, comes to against true earth.

Load current that finds no neutral goes to earth through electrodes and bonded metalwork, or through a shared riser and
the neighbours' bonds. Voltages are phasors: `angle_deg` turns the line that a load hangs on against the others.
"""

import cmath
import math
from collections.abc import Iterator

from msgspec import Struct

from bondwright.calculators.networks.linear import Admittance, Branch, Network, Source, joint, solve
from bondwright.calculators.ranges import OutOfRange, require_positive

_EARTH, _STAR, _TERMINAL, _RISER = "earth", "star point", "terminal", "riser"


class Load(Struct, frozen=True):
    """A load between a line and the terminal, which neutral and earth share.

    `u0_v`: voltage of its line to the star point, above zero. `ohm`: its impedance with that of its line, not zero, with no
    negative resistance. `angle_deg`: angle of its line.
    """

    u0_v: float
    ohm: complex
    angle_deg: float = 0.0


class OpenPen(Struct, frozen=True):
    """An installation whose PEN is broken; every resistance zero or more.

    `earth_ohm`: from the main earthing terminal to true earth by all paths together, none if there is none.
    `source_electrode_ohm`: star point to true earth; zero if the two are taken as one.
    """

    loads: tuple[Load, ...]
    earth_ohm: float | None
    source_electrode_ohm: float


class OpenPenVoltages(Struct, frozen=True):
    """What a broken PEN brings, all rms and zero or more; `load_v` has the voltage across each load, in the order given."""

    terminal_v: float
    earth_current_a: float
    load_v: tuple[float, ...]


class Flat(Struct, frozen=True):
    """One of several installations whose terminals are bonded to the same riser; every resistance zero or more.

    `bond_ohm`: from its terminal to the riser. `pen_ohm`: from its terminal to the star point, none if its PEN is broken.
    """

    name: str
    bond_ohm: float
    pen_ohm: float | None
    loads: tuple[Load, ...] = ()


class SharedRiser(Struct, frozen=True):
    """Flats on one riser; `riser_ohm` is from the riser to true earth, none if it has no contact."""

    flats: tuple[Flat, ...]
    riser_ohm: float | None
    source_electrode_ohm: float


class RiserCurrents(Struct, frozen=True):
    """Current in each bond and voltage of each terminal, in the order of the flats, and of the riser; all rms, against true earth."""

    bond_a: tuple[float, ...]
    terminal_v: tuple[float, ...]
    riser_v: float


def resistance_of_load(u0_v: float, power_w: float) -> float:
    """Resistance in ohm of a load that takes `power_w` at `u0_v`, both above zero.

    Raises: OutOfRange.

    >>> resistance_of_load(230, 4600)
    11.5
    """
    require_positive(u0_v=u0_v, power_w=power_w)
    ohm = u0_v * u0_v / power_w
    require_positive(resistance_of_load=ohm)
    return ohm


def open_pen_network(pen: OpenPen) -> Network:
    """The linear network behind a broken PEN, with true earth as its reference.

    Raises: OutOfRange, if there is no load or a value is out of range.
    """
    if not pen.loads:
        raise OutOfRange("number of loads", 0, "one or more")
    loads = list(_loads(_TERMINAL, pen.loads))
    paths = [joint("source electrode", _STAR, _EARTH, pen.source_electrode_ohm)]
    if pen.earth_ohm is not None:
        paths.append(joint("earth path", _TERMINAL, _EARTH, pen.earth_ohm))
    return Network(_EARTH, (_EARTH, _STAR, _TERMINAL, *_lines(loads)), (*loads, *paths))


def open_pen_voltages(pen: OpenPen) -> OpenPenVoltages:
    """Voltage of the terminal and of all that is bonded to it, current to earth, and voltage across each load.

    Raises: OutOfRange, as `open_pen_network` and `solve` do.
    Source: Kirchhoff's laws on the described network; no formula for any one case.

    >>> round(open_pen_voltages(OpenPen((Load(230, 11.5),), 20, 0)).terminal_v, 1)
    146.0
    """
    network = open_pen_network(pen)
    solution = solve(network)
    loads = [branch for branch in network.branches if isinstance(branch, Admittance)]
    return OpenPenVoltages(
        terminal_v=abs(solution.voltage(_TERMINAL, _EARTH)),
        earth_current_a=abs(solution.current("source electrode")),
        load_v=tuple(abs(solution.voltage(load.a, load.b)) for load in loads),
    )


def earth_resistance_at(voltage_v: float, loads: tuple[Load, ...], source_electrode_ohm: float) -> float:
    """Resistance in ohm from the terminal to true earth at which a broken PEN brings it to just `voltage_v`; below it, to less.

    Inputs: voltage above zero; loads and source electrode as in `OpenPen`.
    Raises: OutOfRange, also if no resistance, however great, brings the terminal to that voltage.
    Source: the network as seen from terminal and earth is one source behind one impedance (Thévenin), solved for the resistance.

    >>> round(earth_resistance_at(70, (Load(230 * 1.1, 230 / 32),), 0), 2)
    2.75
    """
    require_positive(voltage_v=voltage_v)
    open_v = solve(open_pen_network(OpenPen(loads, None, source_electrode_ohm))).voltage(_TERMINAL, _EARTH)
    ratio = abs(open_v) / voltage_v
    if ratio <= 1:
        raise OutOfRange("voltage_v", voltage_v, f"below {abs(open_v)}, which the terminal comes to with no path to earth")
    short_a = solve(open_pen_network(OpenPen(loads, 0, source_electrode_ohm))).current("earth path")
    require_positive(current_of_a_dead_earth_path=abs(short_a))
    inner = open_v / short_a
    # |open| R / |inner + R| = voltage, squared and solved for the one R above zero
    share = ratio * ratio - 1
    ohm = (inner.real + math.sqrt(inner.real * inner.real + share * (inner * inner.conjugate()).real)) / share
    require_positive(earth_resistance=ohm)
    return ohm


def riser_network(shared: SharedRiser) -> Network:
    """The linear network of flats on one riser, with true earth as its reference.

    Raises: OutOfRange, if a value is out of range, a name is taken twice or a terminal has no path to anything.
    """
    branches: list[Branch] = [joint("source electrode", _STAR, _EARTH, shared.source_electrode_ohm)]
    if shared.riser_ohm is not None:
        branches.append(joint("riser to earth", _RISER, _EARTH, shared.riser_ohm))
    for flat in shared.flats:
        branches.append(joint(f"bond of {flat.name}", _terminal(flat), _RISER, flat.bond_ohm))
        if flat.pen_ohm is not None:
            branches.append(joint(f"PEN of {flat.name}", _terminal(flat), _STAR, flat.pen_ohm))
        branches += _loads(_terminal(flat), flat.loads)
    terminals = tuple(_terminal(flat) for flat in shared.flats)
    return Network(_EARTH, (_EARTH, _STAR, _RISER, *terminals, *_lines(branches)), tuple(branches))


def riser_currents(shared: SharedRiser) -> RiserCurrents:
    """What flows in the bonds of flats on one riser, one or more of which have lost their PEN, and where the terminals stand.

    Raises: OutOfRange, as `riser_network` and `solve` do.
    Source: Kirchhoff's laws on the described network.

    >>> flats = (Flat("a", 0.04, None, (Load(230, 5.75),)), Flat("b", 0.04, 0.15), Flat("c", 0.04, 0.15))
    >>> [round(current, 1) for current in riser_currents(SharedRiser(flats, None, 0)).bond_a]
    [39.1, 19.5, 19.5]
    """
    solution = solve(riser_network(shared))
    return RiserCurrents(
        bond_a=tuple(abs(solution.current(f"bond of {flat.name}")) for flat in shared.flats),
        terminal_v=tuple(abs(solution.voltage(_terminal(flat), _EARTH)) for flat in shared.flats),
        riser_v=abs(solution.voltage(_RISER, _EARTH)),
    )


def _terminal(flat: Flat) -> str:
    return f"terminal of {flat.name}"


def _loads(terminal: str, loads: tuple[Load, ...]) -> Iterator[Branch]:
    """A line and an admittance for each load on a terminal."""
    for at, load in enumerate(loads, start=1):
        require_positive(u0_v=load.u0_v)
        line = f"line {at} to {terminal}"
        if not math.isfinite(load.angle_deg):
            raise OutOfRange("angle_deg", load.angle_deg, "finite")
        yield Source(line, line, _STAR, cmath.rect(load.u0_v, math.radians(load.angle_deg)))
        yield Admittance(f"load {at} of {terminal}", line, terminal, _siemens(load.ohm))


def _siemens(ohm: complex) -> complex:
    if not cmath.isfinite(ohm) or ohm == 0:
        raise OutOfRange("impedance of a load", math.hypot(ohm.real, ohm.imag), "finite and not zero")
    return 1 / ohm


def _lines(branches: list[Branch]) -> tuple[str, ...]:
    return tuple(branch.a for branch in branches if isinstance(branch, Admittance))
