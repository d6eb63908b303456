"""The circuits of a room as members of it: what can be asked of each, and its numbers."""

from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter

from msgspec import Struct

from bondwright.calculators.effectiveness import operating_current
from bondwright.facts.asking import ask_field
from bondwright.facts.conductors import size_between
from bondwright.facts.rooms.said import ask_told, said_number, said_word
from bondwright.facts.row import Asked
from bondwright.facts.told import told_of
from bondwright.installation.rooms import Circuit
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, known
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack

_IN_TIME = "within_5_s"


class CircuitMember(Struct, frozen=True):
    """A circuit of a room, at `pointer`; `kind`: of the room."""

    circuit: Circuit
    pointer: str
    kind: str
    pack: RulePack

    def word(self, field: str) -> str:
        """Whether it counts (one on SELV or separation does not), whether a tested residual current device protects it, or what is said."""
        match field:
            case "counted":
                return self._counted()
            case "protected":
                return self._protected()
        return said_word(self.circuit, field, self._told())

    def levels(self, field: str) -> None:
        """Nothing is concluded of a circuit."""

    def number(self, field: str, fact: FactDefinition) -> Between:
        """Its protective conductor in mm² of copper, the current in ampere at which it disconnects, or what is told of it."""
        match field:
            case "cpc":
                size = size_between(self.pack, self.circuit.cpc, "copper", fact.name)
                assert isinstance(size, Between)
                return size
            case "disconnecting_current":
                return self._disconnecting(fact)
        return said_number(field, self._told(), fact)

    def could_be(self, field: str, fact: FactDefinition) -> Sequence[Between] | None:
        """What answers can make of its disconnecting current: that of its residual current device, or of the overcurrent device described.

        None for another number, and where nobody described the overcurrent device: then it could be anything.
        """
        if field != "disconnecting_current":
            return None
        protected, by_rcd = self._protected(), self.pack.number("rcd_operating_current")
        by_residual_current = (Between(by_rcd, by_rcd),) if protected != "no" else ()
        if protected == "yes":
            return by_residual_current
        current = self._overcurrent()
        if current is not None:
            current = min(current, fact.highest)
            return (*by_residual_current, Between(current, current))
        return (*by_residual_current, Between(fact.lowest, fact.highest)) if self._in_no_table() else None

    def asked(self, field: str, fact: str) -> tuple[Asked, ...]:
        """What would tell it: the fields that say nothing yet, asked for the fact that is worked out of it."""
        if field in self.pack.facts and field not in Circuit.model_fields:
            return ask_told("circuit", self.circuit, self.pack.facts[field], self.kind, self.pointer, self.pack)
        told = ((path, attrgetter(path.replace("/", "."))(self.circuit)) for path in self._open(field))
        return tuple(question for path, said in told for question in ask_field(fact, f"{self.pointer}/{path}", said, self.pack))

    def _open(self, field: str) -> Iterator[str]:
        """The fields behind it that may tell it."""
        match field:
            case "counted":
                yield "measure"
            case "protected":
                yield from ("rcd", "rcd_tested") if self._protected() == "unknown" else ()
            case "disconnecting_current":
                protected = self._protected()
                yield from ("rcd", "rcd_tested") if protected == "unknown" else ()
                silent = self.pack.asks_what_can_move and self._in_no_table()
                yield from ("device/type", "device/rated_a") if protected != "yes" and not silent else ()
            case _:
                yield field

    def _told(self) -> Mapping[str, FactValue]:
        return told_of("circuit", self.circuit.told, self.kind, self.pack)

    def _counted(self) -> Known:
        return self.pack.known("circuit_measures", self.circuit.measure, "counts")

    def _protected(self) -> Known:
        return both(self.pack.known("rcds", self.circuit.rcd, "protects"), known(self.circuit.rcd_tested))

    def _disconnecting(self, fact: FactDefinition) -> Between:
        """The current at which the circuit disconnects: that of its residual current device, else of its overcurrent device."""
        by_rcd, protected = self.pack.number("rcd_operating_current"), self._protected()
        if protected == "yes":
            return Between(by_rcd, by_rcd)
        current = self._overcurrent()
        if current is None:
            return Between(fact.lowest, fact.highest)
        current = min(current, fact.highest)
        return Between(by_rcd if protected == "unknown" else current, current)

    def _in_no_table(self) -> bool:
        """Whether its overcurrent device is of a type of which no rating tells when it acts."""
        return self.circuit.device.type not in (UNKNOWN, *self.pack.rows("devices"))

    def _overcurrent(self) -> float | None:
        """The current in ampere at which the overcurrent device surely acts, by its rating or its table; none if not known."""
        device, pack = self.circuit.device, self.pack
        row, rated = pack.rows("devices").get(device.type), device.rated_a
        if row is None or isinstance(rated, str):
            return None
        if "multiple" in row:  # packs published before there were reference tables name a value
            return operating_current(rated, pack.number(row["multiple"]))
        if "multiples" in row:
            return operating_current(rated, pack.table(row["multiples"]).cell(device.type, _IN_TIME).value)
        cell = pack.table(row["currents"]).cells.get((device.type, rated))
        return None if cell is None else cell.value
