"""The circuits of a room as facts: disconnection, residual current devices, protective conductors, operating current."""

from collections.abc import Iterator, Sequence
from operator import attrgetter

from bondwright.calculators.effectiveness import operating_current
from bondwright.facts.asking import ask_field
from bondwright.facts.conductors import size_between
from bondwright.facts.row import Asked
from bondwright.installation.rooms import Circuit
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known, opposite
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

_IN_TIME = "within_5_s"
_WORKED_OUT = ("disconnection_met", "rcd_on_every_circuit", "largest_cpc", "lesser_cpc", "operating_current", "kept_apart_equipment")


def circuit_facts(circuits: Sequence[Circuit] | str, pack: RulePack) -> dict[str, FactValue]:
    """What the circuits of one room come to; circuits on SELV or separation do not count. Nothing if they are not described."""
    if isinstance(circuits, str):
        return {}
    counted = [(circuit, pack.known("circuit_measures", circuit.measure, "counts")) for circuit in circuits]
    facts: dict[str, FactValue] = {
        "disconnection_met": both("yes", *(_unless(counts, known(circuit.disconnection_met)) for circuit, counts in counted)),
        "kept_apart_equipment": either(*(opposite(counts) for _, counts in counted)),
        "rcd_on_every_circuit": both("yes", *(_unless(counts, _protected(circuit, pack)) for circuit, counts in counted)),
    }
    sure = [circuit for circuit, counts in counted if counts == "yes"]
    perhaps = [circuit for circuit, counts in counted if counts != "no"]
    cpcs, currents = [_cpc(circuit, pack) for circuit in perhaps], [_operating(circuit, pack) for circuit in perhaps]
    facts["largest_cpc"] = _range("largest_cpc", [_cpc(circuit, pack).lowest for circuit in sure], [cpc.highest for cpc in cpcs], pack)
    facts["lesser_cpc"] = _range(
        "lesser_cpc", sorted(_cpc(circuit, pack).lowest for circuit in sure)[:-1], sorted(cpc.highest for cpc in cpcs)[:-1], pack
    )
    lows = [_operating(circuit, pack).lowest for circuit in sure]
    facts["operating_current"] = _range("operating_current", lows, [current.highest for current in currents], pack)
    return facts


def circuit_questions(circuits: Sequence[Circuit] | str, pointer: str, pack: RulePack) -> dict[str, tuple[Asked, ...]]:
    """What is asked behind each fact of the circuits: for them, if they are not described, else for the fields that are not told."""
    if isinstance(circuits, str):
        return dict.fromkeys(_WORKED_OUT, ask_field("room_circuits", pointer, circuits, pack))
    asked: dict[str, tuple[Asked, ...]] = {}
    for index, circuit in enumerate(circuits):
        for fact, field in _open_fields(circuit, pack):
            told = attrgetter(field.replace("/", "."))(circuit)
            asked[fact] = asked.get(fact, ()) + ask_field(fact, f"{pointer}/{index}/{field}", told, pack)
    return asked


def _open_fields(circuit: Circuit, pack: RulePack) -> Iterator[tuple[str, str]]:
    """The facts that a circuit may leave open, each with a field that may tell it."""
    counts = pack.known("circuit_measures", circuit.measure, "counts")
    if counts == "no":
        return
    for fact in _WORKED_OUT if counts == "unknown" else ():
        yield fact, "measure"
    yield "disconnection_met", "disconnection_met"
    protected = _protected(circuit, pack)
    if protected == "unknown":
        for field in ("rcd", "rcd_tested"):
            yield "rcd_on_every_circuit", field
            yield "operating_current", field
    if protected != "yes":
        yield "operating_current", "device/type"
        yield "operating_current", "device/rated_a"
    yield "largest_cpc", "cpc"
    yield "lesser_cpc", "cpc"


def _range(fact: str, lows: Sequence[float], highs: Sequence[float], pack: RulePack) -> Between:
    """From the largest low to the largest high; the fact's own least where there is none."""
    least = pack.fact(fact).lowest
    return Between(max(lows, default=least), max(highs, default=least))


def _unless(counts: Known, holds: Known) -> Known:
    """Holds, or does not matter because the circuit does not count."""
    matters_not: Known = "no" if counts == "yes" else "yes" if counts == "no" else "unknown"
    return either(matters_not, holds)


def _protected(circuit: Circuit, pack: RulePack) -> Known:
    return both(pack.known("rcds", circuit.rcd, "protects"), known(circuit.rcd_tested))


def _cpc(circuit: Circuit, pack: RulePack) -> Between:
    size = size_between(pack, circuit.cpc, "copper", "largest_cpc")
    assert isinstance(size, Between)
    return size


def _operating(circuit: Circuit, pack: RulePack) -> Between:
    """The current at which the circuit disconnects: that of its residual current device, else of its overcurrent device."""
    definition, by_rcd = pack.fact("operating_current"), pack.number("rcd_operating_current")
    protected = _protected(circuit, pack)
    if protected == "yes":
        return Between(by_rcd, by_rcd)
    current = _overcurrent(circuit, pack)
    if current is None:
        return Between(definition.lowest, definition.highest)
    current = min(current, definition.highest)
    return Between(by_rcd if protected == "unknown" else current, current)


def _overcurrent(circuit: Circuit, pack: RulePack) -> float | None:
    """The current in ampere at which the overcurrent device surely acts, by a multiple of its rating or its table; none if not known."""
    row, rated = pack.rows("devices").get(circuit.device.type), circuit.device.rated_a
    if row is None or isinstance(rated, str):
        return None
    if "multiple" in row:  # packs published before there were reference tables name a value
        return operating_current(rated, pack.number(row["multiple"]))
    if "multiples" in row:
        return operating_current(rated, pack.table(row["multiples"]).cell(circuit.device.type, _IN_TIME).value)
    cell = pack.table(row["currents"]).cells.get((circuit.device.type, rated))
    return None if cell is None else cell.value
