"""What the officer names: a cell of a table of limits, a printed number, a word or number of a property, or a value."""

import re
from collections.abc import Mapping, Sequence

from msgspec import Struct

from bondwright.cli.rules.choosing import WrongCall, did_you_mean
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import CHOICE
from bondwright.shelf.lines import flow, plain
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar
from bondwright.shelf.reading.scalars import as_items, as_map, as_scalar
from bondwright.units import UNITS, decimal

SECTIONS = {"table": "tables", "value": "values", "reference table": "references", "property": "properties"}
"""What can be set, in words, and where it stands."""
_ELSEWHERE = {"rule": "rules", "series": "series", "fact": "facts", "outcome": "outcomes", "act": "advice", "source": "sources"}
_ENGINEER = "which an engineer does; nothing was written"
_NOWHERE = Place("", 1, 1)
_BARE = re.compile(r"[\w.-]+")


class Cell(Struct, frozen=True):
    """One number or word: how a change names it, what stands there, and how that is told and written.

    `verb`: the kind of change. `named`: what the change names it by, each word with what it is, as written in a file. `was`: as written.
    `unit`: of the entry, as told; `suffix`: what is written behind it. `clause`, `source`: examples of an answer.
    """

    verb: str
    named: Mapping[str, Node]
    was: str
    told: str
    is_number: bool
    unit: str
    suffix: str
    is_quoted: bool
    clause: str
    source: str

    def same(self, one: str, other: str) -> bool:
        """Whether both say the same as rule files write it, as the same number does in more or fewer digits."""
        return one == other or (self.is_number and _number(one, self.suffix) == _number(other, self.suffix))

    def written(self, entry: str) -> str:
        """The entry as a rule file writes it."""
        entry += self.suffix
        return f'"{entry}"' if self.is_quoted or (not self.is_number and not _BARE.fullmatch(entry)) else entry

    def change(self, was: str, now: str, clause: str, source: str) -> str:
        """The change that makes it another."""
        named = ", ".join(f"{word}: {flow(node)}" for word, node in self.named.items())
        return f'- {self.verb}: {{{named}, was: {was}, now: {now}, clause: "{clause}", source: {source}}}'


def cell_of(root: Map, pack: RulePack, name: str, keys: Sequence[str]) -> Cell:
    """The cell that the name and the keys behind it name, in what the edition holds. Raises: WrongCall."""
    sections = {kind: as_map(root.entries[section], section).entries for kind, section in SECTIONS.items() if section in root.entries}
    kinds = [kind for kind, held in sections.items() if name in held]
    if not kinds:
        raise WrongCall(_unknown(root, pack, name, [one for held in sections.values() for one in held]))
    if len(kinds) > 1:
        raise WrongCall(f"`{name}` is a {' and a '.join(kinds)}; it is changed in the file, {_ENGINEER}")
    found = as_map(sections[kinds[0]][name], name)
    match kinds[0]:
        case "table":
            return _of_table(found, pack, name, keys)
        case "value":
            return _value(found, name, keys)
        case "reference table":
            return _printed(found, pack, name, keys)
    return _of_property(found, pack, name, keys)


def _unknown(root: Map, pack: RulePack, name: str, known: Sequence[str]) -> str:
    rules = {flow(as_map(rule, "a rule").entries["id"]) for rule in as_items(root.entries["rules"], "rules")}
    for kind, section in _ELSEWHERE.items():
        if name in (rules if kind == "rule" else as_map(root.entries[section], section).entries):
            return f"`{name}` is {'an' if kind[0] in 'ao' else 'a'} {kind}; what it says is changed in the file, {_ENGINEER}"
    return f"`{pack.pack_id}` has no table, value, reference table or property `{name}`{did_you_mean(name, known)}; nothing was written"


def _of_table(found: Map, pack: RulePack, name: str, keys: Sequence[str]) -> Cell:
    table, rows = pack.tables[name], {flow(as_items(row, "a row")[0]): row for row in as_items(found.entries["rows"], "rows")}
    if not keys:
        raise WrongCall(f"table `{name}` is read by `{table.reads}`; it has {_listed(rows)}; name one")
    _demand_no_more(f"table `{name}` is read by `{table.reads}`", keys[1:])
    limit = _near(keys[0], rows)
    if limit is None:
        raise WrongCall(f"table `{name}` has no row up to `{keys[0]}`; it has {_listed(rows)}")
    up_to, held = as_items(rows[limit], "a row")
    where = "above the last limit" if limit == "above" else f"up to {limit} {table.unit}"
    told = f"table {name} ({table.clause}): {where} it says {flow(held)} {table.gives} now"
    named = {"table": _plain(name), "up_to": up_to}
    return Cell("set_cell", named, flow(held), told, True, table.gives, "", False, table.clause, table.source)


def _value(found: Map, name: str, keys: Sequence[str]) -> Cell:
    _demand_no_more(f"value `{name}` is one number", keys)
    held, clause, source = (found.entries[key] for key in ("value", "clause", "source"))
    unit = flow(held).partition(" ")[2]
    told = f"value {name} ({plain(clause)}): it says {flow(held)} now"
    of = flow(as_map(source, "source").entries["from"])
    return Cell("set_value", {"name": _plain(name)}, flow(held), told, True, _told(unit), f" {unit}", False, str(plain(clause)), of)


def _printed(found: Map, pack: RulePack, name: str, keys: Sequence[str]) -> Cell:
    table, rows = pack.references[name], [as_items(row, "a row") for row in as_items(found.entries["rows"], "rows")]
    by = tuple(table.by)
    what = f"reference table `{name}`"
    _demand_no_more(f"{what} is read by {_and(by)}" if by else f"{what} has one number", keys[len(by) :])
    left = rows
    for number, key in enumerate(keys):
        inside = dict.fromkeys(flow(row[number]) for row in left)
        near = _near(key, inside)
        if near is None:
            behind = f"; behind {_listed(keys[:number])} it has {_listed(inside)}" if number else ""
            raise WrongCall(
                f"{what} has no row {_listed(keys[: number + 1])}{did_you_mean(key, inside) or behind or f'; it has {_listed(inside)}'}"
            )
        left = [row for row in left if flow(row[number]) == near]
    if len(keys) < len(by):
        inside = dict.fromkeys(flow(row[len(keys)]) for row in left)
        behind = f"behind {_listed(keys)} " if keys else ""
        raise WrongCall(f"{what} is read by {_and(by)}; {behind}it has {_listed(inside)}")
    *at, held, mark = left[0]
    of = [f"{flow(key)}{'' if unit == CHOICE else f' {unit}'}" for key, unit in zip(at, table.by.values(), strict=True)]
    where = f"for {', '.join(of)} " if of else ""
    unit = _told(table.unit)
    told = f"reference table {name} ({table.clause}): {where}it says {flow(held)}{unit and f' {unit}'} now"
    marks = as_map(found.entries["sources"], "sources").entries
    source = flow(as_map(marks[flow(mark)], "source").entries["from"])
    named: dict[str, Node] = {"reference": _plain(name), "row": Items(at, found.place)}
    return Cell("set_cell", named, flow(held), told, True, unit, "", False, table.clause, source)


def _of_property(found: Map, pack: RulePack, name: str, keys: Sequence[str]) -> Cell:
    what, rows = f"property `{name}`", found.entries
    read = f"{what} is read by `row` and `column`"
    _demand_no_more(read, keys[2:])
    if keys and keys[0] not in rows:
        raise WrongCall(f"{what} has no row `{keys[0]}`{did_you_mean(keys[0], rows) or f'; it has {_listed(rows)}'}")
    columns = as_map(rows[keys[0]], "a row").entries if keys else {}
    if len(keys) < 2:
        raise WrongCall(f"{read}; behind `{keys[0]}` it has {_listed(columns)}" if keys else f"{read}; it has {_listed(rows)}")
    row, column = keys
    if column not in columns:
        raise WrongCall(f"row `{row}` of {what} has no `{column}`{did_you_mean(column, columns) or f'; it has {_listed(columns)}'}")
    held = as_scalar(columns[column], column)
    number, _, unit = held.text.partition(" ")
    is_number = not held.quoted and decimal(number) is not None and (not unit or unit in UNITS)
    told = f"property {name}, row {row}: {column} says {plain(held)} now"
    named = {"property": _plain(name), "row": _plain(row), "column": _plain(column)}
    source = flow(columns["source"]) if "source" in columns else next(iter(pack.sources))
    suffix = f" {unit}" if is_number and unit else ""
    return Cell("set_cell", named, flow(held), told, is_number, _told(suffix[1:]), suffix, held.quoted, pack.rules[0].clause, source)


def _demand_no_more(what: str, more: Sequence[str]) -> None:
    if more:
        raise WrongCall(f"{what}; leave out {_listed(more)}")


def _near(key: str, known: Mapping[str, object]) -> str | None:
    """The one of the known words that is the key, or the same number."""
    return next((one for one in known if one == key or (_number(one) is not None and _number(one) == _number(key))), None)


def _number(text: str, suffix: str = "") -> object:
    return decimal(text.removesuffix(suffix))


def _told(unit: str) -> str:
    return "" if unit == "of one" else unit


def _plain(text: str) -> Scalar:
    return Scalar(text, False, _NOWHERE)


def _listed(names: Sequence[str] | Mapping[str, object]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _and(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(f"`{name}`" for name in names[:-1]), f"`{names[-1]}`")))
