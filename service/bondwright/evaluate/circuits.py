"""The circuits of a room as facts: disconnection, residual current devices, protective conductors, operating current."""

from collections.abc import Sequence

from bondwright.calculators.effectiveness import operating_current
from bondwright.evaluate.supply import size_between
from bondwright.installation.rooms import Circuit
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack


def circuit_facts(circuits: Sequence[Circuit] | str, pack: RulePack) -> dict[str, FactValue]:
    """What the circuits of one room come to; circuits on SELV or separation do not count. Nothing if they are not described."""
    if isinstance(circuits, str):
        return {}
    counted = [(circuit, known(pack.properties["circuit_measures"][circuit.measure]["counts"])) for circuit in circuits]
    facts: dict[str, FactValue] = {
        "disconnection_met": both("yes", *(_unless(counts, known(circuit.disconnection_met)) for circuit, counts in counted)),
        "rcd_on_every_circuit": both("yes", *(_unless(counts, _protected(circuit, pack)) for circuit, counts in counted)),
    }
    real = [circuit for circuit, counts in counted if counts != "no"]
    if real:
        cpcs = sorted((_cpc(circuit, pack) for circuit in real), key=lambda cpc: cpc.highest, reverse=True)
        currents = [_operating(circuit, pack) for circuit in real]
        facts["largest_cpc"] = Between(max(cpc.lowest for cpc in cpcs), cpcs[0].highest)
        second = cpcs[1] if len(cpcs) > 1 else cpcs[0]
        facts["lesser_cpc"] = Between(min(cpc.lowest for cpc in cpcs), second.highest)
        facts["operating_current"] = Between(max(one.lowest for one in currents), max(one.highest for one in currents))
    return facts


def _unless(counts: Known, holds: Known) -> Known:
    """Holds, or does not matter because the circuit does not count."""
    matters_not: Known = "no" if counts == "yes" else "yes" if counts == "no" else "unknown"
    return either(matters_not, holds)


def _protected(circuit: Circuit, pack: RulePack) -> Known:
    return both(known(pack.properties["rcds"][circuit.rcd]["protects"]), known(circuit.rcd_tested))


def _cpc(circuit: Circuit, pack: RulePack) -> Between:
    size = size_between(pack, circuit.cpc, "copper", "largest_cpc")
    assert isinstance(size, Between)
    return size


def _operating(circuit: Circuit, pack: RulePack) -> Between:
    """The current at which the circuit disconnects: that of its residual current device, else of its overcurrent device."""
    definition, by_rcd = pack.facts["operating_current"], pack.number("rcd_operating_current")
    protected = _protected(circuit, pack)
    if protected == "yes":
        return Between(by_rcd, by_rcd)
    multiple, rated = pack.properties["devices"].get(circuit.device.type), circuit.device.rated_a
    if multiple is None or isinstance(rated, str):
        return Between(definition.lowest, definition.highest)
    current = min(operating_current(rated, pack.number(multiple["multiple"])), definition.highest)
    return Between(by_rcd if protected == "unknown" else current, current)
