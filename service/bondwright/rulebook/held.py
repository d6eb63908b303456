"""What a pack holds under the names by which code reads it: the one place where values, tables, rows and sentences are looked up."""

from abc import ABC
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, TypeVar

import msgspec
from msgspec import Struct

from bondwright.errors import Contradiction, Fault
from bondwright.rulebook.declared.places import Link, PlaceDeclared, Places
from bondwright.rulebook.facts import NO, UNKNOWN, YES, FactDefinition, Known
from bondwright.rulebook.reference import NamedValue, ReferenceTable
from bondwright.said import filled as fill

Row: TypeAlias = Mapping[str, str]
"""What stands in a row of a table of properties, by column."""
_Key = TypeVar("_Key")
_One = TypeVar("_One")


@dataclass(frozen=True, slots=True)
class Roles:
    """The names of outcomes of a pack by what they are to the work; empty where the pack has no such outcome.

    Of a part: `extraneity`, whether it is extraneous; `duty`, whether main bonding is called for; `objection`, what speaks against it.
    Of a bond: whether it `counts`, `complies`, is `bond_reported`, is to be `taken_off`. Of a reading: what it `reads` as, whether it is
    `reading_reported`; `next_test`. Of the installation: `earthing_by_line`, the earthing conductor that the line conductor asks for;
    `main_bond` and `earthing`, the sizes that are answered; whether the conductor of a feeding circuit is a `feeder_bond`, and is to be
    kept as a `feeder_parting` says. Of an earthing besides that of the supply: how it stands to that one (`further_earthing`), and what
    is `earthing_reported`.
    """

    extraneity: str = ""
    duty: str = ""
    objection: str = ""
    counts: str = ""
    complies: str = ""
    bond_reported: str = ""
    taken_off: str = ""
    reads: str = ""
    reading_reported: str = ""
    next_test: str = ""
    earthing_by_line: str = ""
    main_bond: str = ""
    earthing: str = ""
    feeder_bond: str = ""
    feeder_parting: str = ""
    further_earthing: str = ""
    earthing_reported: str = ""

    def called(self, name: str) -> str:
        """The outcome in the role of that name, empty where the pack has none; a name that is no role stands for itself."""
        return getattr(self, name) if name in _NAMES else name


_NAMES = frozenset(role.name for role in fields(Roles))


class Sentences(Struct, frozen=True):
    """The sentences of one language by code. A slot stands in braces: `{size} for now`."""

    by_code: Mapping[str, str] = msgspec.field(default_factory=dict)

    def __call__(self, code: str, **filled: str) -> str:
        """The sentence with that code, its slots filled; what stands in braces in what fills them stays as it is.

        >>> Sentences({"bond_line": "Bond {bond}: {told}."})("bond_line", bond="b1", told="{counts}")
        'Bond b1: {counts}.'
        """
        return fill(self.by_code[code], filled, f"sentence.{code}")


class Held(ABC):
    """A pack as code reads it by name; what it lacks is said as a fault of the pack that was chosen, never as a missing key.

    A pack of the strict format lacks nothing of it; one published before there was something may.
    """

    __slots__ = ()

    pack_id: str
    facts: Mapping[str, FactDefinition]
    values: Mapping[str, NamedValue]
    properties: Mapping[str, Mapping[str, Row]]
    asks: Mapping[str, str]
    references: Mapping[str, ReferenceTable]
    undeclared: Mapping[str, Mapping[str, Row]]
    otherwise: Mapping[tuple[str, str], str]
    telling: Mapping[str, Mapping[str, str]]
    wording: frozenset[tuple[str, str]]
    places: Places

    def number(self, name: str) -> float:
        """A named value, in its unit. Raises: Contradiction, if the pack lacks it."""
        return self.value(name).value

    def value(self, name: str) -> NamedValue:
        """A named value with what it rests on. Raises: Contradiction, if the pack lacks it."""
        found: NamedValue = self._found(self.values, name, "value")
        return found

    def has_value(self, name: str) -> bool:
        """Whether the pack has a named value."""
        return name in self.values

    def has_table(self, name: str) -> bool:
        """Whether the pack has a reference table, which those published before there were any have not."""
        return name in self.references

    def table(self, name: str) -> ReferenceTable:
        """A reference table. Raises: Contradiction, if the pack lacks it."""
        found: ReferenceTable = self._found(self.references, name, "table")
        return found

    def fact(self, name: str) -> FactDefinition:
        """A declared fact. Raises: Contradiction, if the pack lacks it."""
        found: FactDefinition = self._found(self.facts, name, "fact")
        return found

    def ask(self, name: str) -> str:
        """The words of a question about the description. Raises: Contradiction, if the pack lacks it."""
        found: str = self._found(self.asks, name, "question")
        return found

    def rows(self, table: str) -> Mapping[str, Row]:
        """The rows of a table of properties; none where the pack has no such table."""
        return self.properties[table] if table in self.properties else self.undeclared.get(table, {})

    def deciding(self, table: str) -> Mapping[str, Row]:
        """The rows of a table of properties without their texts, which decide nothing."""
        rows = self.rows(table)
        return {name: {column: cell for column, cell in row.items() if (table, column) not in self.wording} for name, row in rows.items()}

    def row(self, table: str, word: str) -> Row:
        """The row of a word of the description; of a word that was not known when the pack was published, that of the unknown.

        Raises: Contradiction, if the pack has neither.
        """
        rows = self.rows(table)
        found = rows.get(word)
        if found is None:
            found = rows.get(UNKNOWN)
        if found is None:
            raise self._lacks("row", f"{table}/{word}")
        return found

    def cell(self, table: str, word: str, column: str) -> str:
        """What stands in that row; in a pack published before there was such a column, what is declared for it.

        Raises: Contradiction, if there is neither.
        """
        found = self.row(table, word).get(column)
        if found is None:
            found = self.otherwise.get((table, column))
        if found is None:
            raise self._lacks("column", f"{table}/{word}/{column}")
        return found

    def tells(self, table: str) -> Mapping[str, str]:
        """The facts of a part that columns of a table tell, by the column."""
        return self.telling.get(table, {})

    def told(self, table: str, word: str, column: str) -> str:
        """What stands in that row, where the column may be left out; empty where it is, or where there is no such row."""
        found = self.rows(table).get(word, {}).get(column)
        return self.undeclared.get(table, {}).get(word, {}).get(column, "") if found is None else found

    def known(self, table: str, word: str, column: str) -> Known:
        """The same as yes, unknown or no; anything else counts as unknown. Raises: Contradiction, as `cell`."""
        found = self.cell(table, word, column)
        return "yes" if found == YES else "no" if found == NO else "unknown"

    def place(self, kind: str) -> PlaceDeclared:
        """How a kind of location is judged. Raises: Contradiction, if the pack does not judge it."""
        if kind not in self.places.kinds:
            raise self.fault(f"has no place `{kind}`")
        return self.places.kinds[kind]

    def links(self, *joins: str) -> Mapping[str, Link]:
        """The size of a conductor that joins these two, by kind of place. Raises: Contradiction, if no place asks for one."""
        found = self.places.links(*joins)
        if not found:
            raise self.fault(f"has no size of a conductor that joins {' and '.join(joins)}")
        return found

    def fault(self, said: str) -> Contradiction:
        """The error to raise for what the pack lacks: what it does not have or do, as a predicate."""
        return Contradiction((Fault("/rule_pack", f"rule pack `{self.pack_id}` {said}; name another pack"),))

    def _found(self, there: Mapping[str, Any], name: str, what: str) -> Any:
        if name not in there:
            raise self._lacks(what, name)
        return there[name]

    def _lacks(self, what: str, name: str) -> Contradiction:
        return self.fault(f"has no {what} `{name}`")


def grouped(some: Iterable[tuple[_Key, _One]]) -> Mapping[_Key, tuple[_One, ...]]:
    """By key, all that has it, in order."""
    found: dict[_Key, list[_One]] = {}
    for key, one in some:
        found.setdefault(key, []).append(one)
    return {key: tuple(those) for key, those in found.items()}
