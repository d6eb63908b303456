"""How one calculation reads a rule pack: each value, row and rule that it uses is noted, so that the answer can cite it."""

from collections.abc import Mapping

from msgspec import Struct

from bondwright.calculations.answer import Cited, TableRow
from bondwright.calculations.rows import limits_row, listed, no_row, row_of, rows_around
from bondwright.conclude.concluding import Acting, begun, through
from bondwright.conclude.reasons import CONFIDENCE, reasons_of_size
from bondwright.errors import Contradiction, Fault, UnknownName
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import Key, ReferenceTable
from bondwright.units import rounded

NOTHING_USED = "none_needed"
"""The weakest source of a calculation that uses nothing but its inputs."""


class Sized(Struct, frozen=True):
    """A size as rules conclude it, with the rows of limits that they looked up and their ids."""

    value: float
    rows: tuple[TableRow, ...]
    rules: tuple[str, ...]


class Bench:
    """A rule pack as one calculation uses it; `acting` runs its rules. Made anew for every calculation."""

    def __init__(self, pack: RulePack, acting: Acting) -> None:
        self.pack, self.acting = pack, acting
        self._cited: dict[Cited, None] = {}

    @property
    def say(self) -> Sentences:
        """The sentences of the pack."""
        return self.pack.say

    @property
    def cited(self) -> tuple[Cited, ...]:
        """What was used so far, in the order of its first use."""
        return tuple(self._cited)

    @property
    def weakest(self) -> str:
        """The least trusted confidence of what was used."""
        return max((one.confidence for one in self._cited), key=CONFIDENCE.index, default=NOTHING_USED)

    def value(self, name: str) -> float:
        """A named value of the pack, in its unit."""
        held = self.pack.value(name)
        self._note(Cited(name, held.clause, held.source, held.kind, held.confidence, held.value, held.unit))
        return held.value

    def cell(self, table: str, *keys: Key, place: str = "") -> float:
        """A number of a reference table. `place`: JSON Pointer of the input that its last key is.

        Raises: Contradiction at that place, if the table has no such row, or the pack no such table.
        """
        held = self._table(table)
        try:
            cell = held.cell(*keys)
        except UnknownName:
            raise Contradiction((Fault(place, no_row(held, keys)),)) from None
        what = f"{table}: {listed(keys)}" if keys else table
        self._note(Cited(what, held.clause, cell.source, cell.kind, cell.confidence, cell.value, held.unit))
        return cell.value

    def column(self, table: str, *keys: Key) -> Mapping[float, float]:
        """The numbers of a reference table whose keys begin so, by the last key; noted is the table with its weakest row.

        Raises: Contradiction, if there are none.
        """
        held = self._table(table)
        try:
            cells = held.column(*keys)
        except UnknownName:
            detail = f"table `{table}` of this rule pack has no rows for {listed(keys)}; name another pack"
            raise Contradiction((Fault("", detail),)) from None
        weakest = max(cells.values(), key=lambda cell: CONFIDENCE.index(cell.confidence))
        what = f"{table}: {listed(keys)}" if keys else table
        self._note(Cited(what, held.clause, weakest.source, weakest.kind, weakest.confidence))
        return {key: cell.value for key, cell in cells.items()}

    def row(self, table: str, *keys: Key) -> TableRow:
        """A row of a reference table as a step shows it. Raises: as `cell`."""
        held = self._table(table)
        self.cell(table, *keys)
        return row_of(held, *keys)

    def around(self, table: str, *keys: Key, at: float) -> tuple[TableRow, ...]:
        """The row whose last key is `at`, or both between which it lies, as a step shows them. Raises: as `column`."""
        self.column(table, *keys)
        return rows_around(self._table(table), *keys, at=at)

    def size(self, of: str, outcome: str, given: Facts) -> float:
        """The number alone of `sized`."""
        return self.sized(of, outcome, given).value

    def sized(self, of: str, outcome: str, given: Facts) -> Sized:
        """A size as the rules of the pack conclude it from `given`, facts and earlier sizes of a subject of kind `of`; the rest is unknown.

        The cautious end, where what is given leaves it open; a limit that nothing may exceed is not rounded. Raises: EngineDisagreement.
        """
        pack = self.pack
        facts = {fact.name: given.get(fact.name, fact.unknown()) for fact in pack.facts_of(of)}
        earlier = {name: value for name, value in given.items() if name in pack.outcomes}
        # Only the stage of the outcome is run: earlier sizes stand as given.
        (concluded,) = through(pack, (pack.outcomes[outcome].stage,), [begun(of, {**facts, **earlier})], self.acting)
        size = concluded.sizes[outcome]
        cautious = "highest" if pack.outcomes[outcome].cautious == "larger" else "lowest"
        reasons = reasons_of_size(concluded.acts.worst_case, pack.outcomes[outcome], size.firm, pack)
        rows: dict[TableRow, None] = {}
        for reason in reasons:
            self._note(Cited(reason.rule, reason.clause, reason.source, reason.kind, reason.confidence, says=reason.says))
            for table in pack.tables_of(pack.rule(reason.rule)):
                self._note(Cited(table.table_id, table.clause, table.source, reason.kind, table.confidence))
                if isinstance(read := given.get(table.reads), Between):
                    rows.setdefault(limits_row(table, getattr(read, cautious), self.say))
        value = rounded(size.highest) if cautious == "highest" else size.lowest
        return Sized(value, tuple(rows), tuple(dict.fromkeys(reason.rule for reason in reasons)))

    def _table(self, table: str) -> ReferenceTable:
        if not self.pack.has_table(table):
            way_out = f"this rule pack has no table `{table}`; name a newer one, or leave it out"
            raise Contradiction((Fault("/rule_pack", way_out),))
        return self.pack.table(table)

    def _note(self, cited: Cited) -> None:
        self._cited.setdefault(cited)
