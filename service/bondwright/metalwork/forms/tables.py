"""The pack's tables and values that the survey reads, by the words of a description."""

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from bondwright.calculators.isolation import isolation_limit
from bondwright.calculators.ranges import Range
from bondwright.calculators.water import column_resistance_between
from bondwright.installation.services import ServiceFrame
from bondwright.installation.words import BORE_BOUNDS_MM, LENGTH_BOUNDS_M, Bore, Conductivity, Length
from bondwright.metalwork.graph import Known, Settles
from bondwright.metalwork.keys import gap, together
from bondwright.metalwork.known import both, either, known
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.kinds import KindOf
from bondwright.rulebook.pack import RulePack


class Plastic(Struct, frozen=True):
    """A plastic length, between two metals or at an end, with its place in the description."""

    length_m: Length
    bore_mm: Bore
    pointer: str


class Tables(Struct, frozen=True):
    """Answers about materials, joints and water out of one rule pack; `known`: those that were given before."""

    pack: RulePack
    known: dict[tuple[str, str, str], Known] = field(default_factory=dict)

    @staticmethod
    def of(pack: RulePack) -> "Tables":
        """Those of a pack; what they answered is kept with it."""
        return Tables(pack, pack.derived("asked by the survey", dict[tuple[str, str, str], Known]))

    def ask(self, table: str, row: str, column: str) -> Known:
        """A yes, unknown or no of a table; for a word that a pack published before it lacks, what it says of the unknown."""
        found = self.known.get((table, row, column))
        if found is None:
            found = self.known[table, row, column] = self.pack.known(table, row, column)
        return found

    def word(self, table: str, row: str, column: str) -> str:
        """A text of a table."""
        return self.pack.cell(table, row, column)

    def kind_word(self, of: KindOf, kind: str, column: str, otherwise: str = "unknown") -> str:
        """A text of the row of a kind; `otherwise` where the pack has no such row or column."""
        return self.pack.kind(of, kind).word(column, otherwise)

    def service_words(self, service: ServiceFrame) -> str:
        """What people call a service of that kind."""
        return self.kind_word("service", service.kind, "words", "") or self.pack.say("any_service")

    def kind_ask(self, of: KindOf, kind: str, column: str) -> Known:
        """A yes, unknown or no of the row of a kind; unknown where the pack has no such row or column."""
        return known(self.kind_word(of, kind, column))

    def touched_item(self, touched: str) -> str:
        """The kind of item that a word of touching stands for, empty where it stands for none."""
        return self.pack.told("touches", touched, "item")

    def touched_kinds(self) -> Mapping[str, frozenset[str]]:
        """The kinds of item that words of touching stand for, each with what is said of metal that touches such an item, or may."""
        return self.pack.derived("touched kinds", self._touched_kinds)

    def _touched_kinds(self) -> Mapping[str, frozenset[str]]:
        kinds: dict[str, frozenset[str]] = {}
        for word in self.pack.rows("touches"):
            if kind := self.touched_item(word):
                kinds[kind] = kinds.get(kind, frozenset({UNKNOWN})) | {word}
        return kinds

    def may_feed(self, item: str, service: str) -> bool:
        """Whether a kind of service may feed a kind of item; where the pack has no row for the item, any may."""
        row = self.pack.rows("feeds").get(item)
        return row is None or service in row

    def fluid(self, service: ServiceFrame) -> str:
        """What a service carries, as the table of fluids names it."""
        return self.kind_word("service", service.kind, "fluid", "none")

    def stands(self, table: str, row: str) -> str:
        """Where a thing stands of which nobody says it: unknown where the table does not tell; inside where it has no such column.

        Packs published before there was one judged everything as metal of the building.
        """
        rows = self.pack.rows(table)
        found = rows.get(row, {}).get("stands")
        return found or ("unknown" if any("stands" in columns for columns in rows.values()) else "inside")

    def meter_outside(self, service: ServiceFrame) -> Known:
        """Whether the service has a meter outside."""
        match service.meter.position:
            case "outside":
                return "yes"
            case "unknown":
                return both(self.kind_ask("service", service.kind, "metered"), "unknown")
            case _:
                return "no"

    def meter_inside(self, service: ServiceFrame) -> Known:
        """Whether the service has a meter inside; a kind that never has one has none."""
        match service.meter.position:
            case "inside":
                return "yes"
            case "unknown":
                return both(self.kind_ask("service", service.kind, "metered"), "unknown")
            case _:
                return "no"

    def joint(self, joint: str, fluid: str) -> Known:
        """Whether a joint may carry a potential on: through metal, or through the short column of a liquid in it."""
        return either(self.ask("joints", joint, "conducts"), self._wet(fluid))

    def settles(self, fluid: str) -> Settles:
        """What is settled by being told of a joint or length through which a liquid may carry on: that it conducts, if it does."""
        return "either" if self._wet(fluid) == "no" else "yes"

    def meter(self, body: str, fluid: str) -> Known:
        """The same of a meter body."""
        return either(self.ask("meter_bodies", body, "conducts"), self._wet(fluid))

    def water_path(self, fluid: str, lengths: tuple[tuple[Length, Bore], ...], measured: Conductivity = "unknown") -> Known:
        """Whether the liquid in plastic lengths, one after another, may carry more than the default touch current.

        `no` when the whole column surely reads at or above the limit; otherwise only `unknown`: a column never makes
        two metals one part.
        """
        if self.ask("fluids", fluid, "conducts") == "no":
            return "no"
        least, greatest = (self.pack.number(self.word("fluids", fluid, end)) for end in ("least", "greatest"))
        conductivity: Range = (least, greatest) if measured == "unknown" else (measured, max(measured, least))
        lowest = sum(self._column(length, bore, conductivity) for length, bore in lengths)
        return "no" if lowest >= self.default_limit() else "unknown"

    def column_gap(
        self, fluid: str, plastic: Sequence[Plastic], ask: str, measured: Conductivity = "unknown", measured_at: str | None = None
    ) -> str | None:
        """The key of the questions about plastic lengths one after another; none if no answer would show that they isolate.

        `measured_at`: the field for the measured conductivity, where there is one.
        """
        if self.ask("fluids", fluid, "conducts") == "no":
            return None
        best = tuple(
            (
                LENGTH_BOUNDS_M[1] if length.length_m == "unknown" else length.length_m,
                BORE_BOUNDS_MM[0] if length.bore_mm == "unknown" else length.bore_mm,
            )
            for length in plastic
        )
        purest = self.pack.number(self.word("fluids", fluid, "least")) if measured_at and measured == "unknown" else measured
        if self.water_path(fluid, best, purest) != "no":
            return None
        fields = [(f"{length.pointer}/{name}", getattr(length, name)) for length in plastic for name in ("length_m", "bore_mm")]
        water = gap("conductivity", measured_at, measured) if measured_at and "conductivity" in self.pack.asks else None
        return together(*(gap(ask, at, said) for at, said in fields), water)

    def default_limit(self) -> float:
        """Resistance in ohm at and above which the pack's default touch current is not exceeded."""
        number = self.pack.number
        return isolation_limit(number("nominal_voltage"), number("touch_current_default"), number("body_resistance"))

    def _wet(self, fluid: str) -> Known:
        return both(self.ask("fluids", fluid, "conducts"), "unknown")

    @staticmethod
    def _column(length: Length, bore: Bore, conductivity: Range) -> float:
        lengths = LENGTH_BOUNDS_M if length == "unknown" else (length, length)
        bores = BORE_BOUNDS_MM if bore == "unknown" else (bore, bore)
        return column_resistance_between(lengths, bores, conductivity)[0]
