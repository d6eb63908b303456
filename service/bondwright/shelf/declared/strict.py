"""What a pack of the strict format holds: of each thing that code reads by name the type, unit and range, and nothing foreign beside it."""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from bondwright.facts.conductors import BY_RESISTANCE, BY_SIZE
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.reference import CHOICE, NamedValue, ReferenceTable
from bondwright.shelf.declared.declaration import DECLARING, Declaration, Reference, in_format, section
from bondwright.shelf.declared.tables import TEXT_WITH_NUMBER, Column, Table
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, as_scalar, listed, suggestion

_SECTION = re.compile(r"none|[0-9]{3}")
_FILLED = re.compile(r"\{([^{}]*)\}|[{}]")
_ROW_OF, _CHOICE_OF = "row of ", "choice of "


class Held(Struct, frozen=True):
    """What a pack holds, as far as it was read. `declares`: whether it says by its tables what descriptions may say."""

    root: Map
    values: Mapping[str, NamedValue]
    references: Mapping[str, ReferenceTable]
    facts: Mapping[str, FactDefinition]
    form: int

    @property
    def declares(self) -> bool:
        """Whether it is of the format that declares places and words."""
        return self.form >= DECLARING


def check_held(held: Held, read: Declaration) -> None:
    """Refuses what is of another type, unit or range than is declared, and what nothing reads. Raises: UnreadableRules."""
    _check_values(held, read)
    _check_facts(held, read)
    _check_references(held, read)
    tables = as_map(held.root.entries["properties"], "`properties`")
    for name, key in tables.keys.items():
        if name not in read.properties:
            raise refused(key.place, f"no code reads a table {shown(name)} of properties{suggestion(name, read.properties)}")
        _check_rows(name, as_map(tables.entries[name], "a table"), read, held)
    for name, names in (("asks", read.asks), ("advice", None)):
        entries = as_map(held.root.entries[name], f"`{name}`")
        known = {*(names.needed + names.more if names else ()), *_acts(held, read)}
        for word, key in entries.keys.items():
            if word not in known:
                said = "is no question that code asks" if names else "is an act that neither `joined` nor code names"
                raise refused(key.place, f"{shown(word)} {said}{suggestion(word, (one for one in known if one not in entries.keys))}")
    readings = as_map(held.root.entries["readings"], "`readings`")
    for name, key in readings.keys.items():
        if name not in read.readings:
            raise refused(key.place, f"no code reads a reading {shown(name)}{suggestion(name, read.readings)}")


def _acts(held: Held, read: Declaration) -> Iterator[str]:
    yield from (*read.advice.needed, *read.advice.more, *(read.advice.until_3 if held.form < DECLARING else ()))
    rooms = as_items(held.root.entries["joined_rooms"], "`joined_rooms`") if held.form >= DECLARING else []
    for row in (*as_items(held.root.entries["joined"], "`joined`"), *rooms):
        act = as_map(row, "a joined row").entries.get("act")
        if isinstance(act, Scalar):
            yield act.text
    for one in as_map(held.root.entries["advice"], "`advice`").entries.values():
        act = as_map(one, "advice").entries.get("if_shared")
        if isinstance(act, Scalar):
            yield act.text


def _check_values(held: Held, read: Declaration) -> None:
    used = _words(*(held.root.entries[name] for name in ("rules", "facts", "properties")))
    for name, value in held.values.items():
        node = section(held.root, "values", name, "value")
        if name not in read.values:
            if name not in used:
                unset = (other for other in read.values if other not in held.values)
                raise refused(value.place, f"nothing reads the value {shown(name)}{suggestion(name, unset)}")
            continue
        declared = read.values[name]
        if value.unit != declared.unit:
            raise refused(node.place, f"value `{name}` is in `{declared.unit}`, not in `{value.unit}`")
        if not declared.within.holds(value.value):
            within = f"{declared.within.lowest:g} to {declared.within.highest:g} {declared.unit}"
            raise refused(node.place, f"value `{name}` cannot be {value.value:g} {value.unit}; it lies in {within}")
    for name, declared in read.values.items():
        least, most = held.values.get(name), held.values.get(declared.at_most)
        if least is not None and most is not None and least.value > most.value:
            place = section(held.root, "values", name, "value").place
            raise refused(place, f"value `{name}` is above `{declared.at_most}`, {most.value:g} {most.unit}; it never is")


def _check_facts(held: Held, read: Declaration) -> None:
    by_code = {name: fact for name, fact in read.facts.items() if in_format(fact.until, held.form)}
    node = as_map(held.root.entries["facts"], "`facts`")
    for name, fact in held.facts.items():
        own = [key for key in ("told", "from") if key in as_map(node.entries[name], f"fact `{name}`").entries]
        if len(own) > 1 or (own and (name in by_code or held.form < DECLARING)):
            _refuse_told_twice(name, own, node, held.form)
        if own:
            continue
        if name not in by_code:
            way_out = "; or say with `told` or `from` where it comes from" if held.form >= DECLARING else ""
            raise refused(node.keys[name].place, f"no code tells a fact {shown(name)}{suggestion(name, by_code)}{way_out}")
        declared = by_code[name]
        if fact.kind != declared.kind or fact.unit != declared.unit:
            place = section(held.root, "facts", name, "kind" if fact.kind != declared.kind else "unit").place
            in_unit = f" in `{declared.unit}`" if declared.unit else ""
            raise refused(place, f"code tells `{name}` as {declared.kind}{in_unit}")
        if set(fact.of) != set(declared.of):
            raise refused(section(held.root, "facts", name, "of").place, f"code tells `{name}` of {listed(declared.of)}")


def _refuse_told_twice(name: str, own: Sequence[str], facts: Map, form: int) -> None:
    place = as_map(facts.entries[name], f"fact `{name}`").keys[own[-1]].place
    if form < DECLARING:
        raise refused(place, f"`{own[-1]}` is read from packs of `format: {DECLARING}` and later")
    both = "both `told` and `from`" if len(own) > 1 else f"`{own[0]}`, and code tells it by its name"
    raise refused(place, f"fact `{name}` has {both}; it comes from one of them")


def _check_references(held: Held, read: Declaration) -> None:
    for name, table in held.references.items():
        if name not in read.references:
            raise refused(table.place, f"no code reads a reference table {shown(name)}{suggestion(name, read.references)}")
        if name in as_map(held.root.entries["tables"], "`tables`").keys or name in held.values:
            raise refused(table.place, f"{shown(name)} is already the name of a table or value of the edition")
        _check_columns(name, table, read.references[name], held.root)
        _check_cells(name, table, read.references[name])
        _check_marks(name, held.root)


def _check_columns(name: str, table: ReferenceTable, declared: Reference, root: Map) -> None:
    by = {column: CHOICE if isinstance(unit, tuple) else unit for column, unit in declared.by.items()}
    if list(table.by.items()) != list(by.items()):
        written = ", ".join(f"{column}: {unit}" for column, unit in by.items())
        raise refused(section(root, "references", name, "by").place, f"code reads `{name}` by `{{{written}}}`")
    if (table.gives, table.unit) != (declared.gives, declared.unit):
        place = section(root, "references", name, "gives").place
        raise refused(place, f"code reads from `{name}` `{{{declared.gives}: {declared.unit}}}`")


def _check_cells(name: str, table: ReferenceTable, declared: Reference) -> None:
    for keys, cell in table:
        for word, (column, words) in zip(keys, declared.by.items(), strict=True):
            if isinstance(words, tuple) and word not in words:
                raise refused(cell.place, f"no code reads {shown(str(word))} in `{column}` of `{name}`{suggestion(str(word), words)}")
        if not declared.within.holds(cell.value):
            within = f"{declared.within.lowest:g} to {declared.within.highest:g} {declared.unit}"
            raise refused(cell.place, f"a number of `{name}` cannot be {cell.value:g}; it lies in {within}")


def _check_marks(name: str, root: Map) -> None:
    """Refuses a mark that no row has."""
    marks = as_map(section(root, "references", name, "sources"), "`sources`")
    used = {as_scalar(as_items(row, "a row")[-1], "a mark").text for row in as_items(section(root, "references", name, "rows"), "`rows`")}
    for mark, key in marks.keys.items():
        if mark not in used:
            raise refused(key.place, f"no row of `{name}` has the mark {shown(mark)}")


def _check_rows(name: str, node: Map, read: Declaration, held: Held) -> None:
    table = read.properties[name]
    known = _known_rows(name, table, read, held)
    if known is not None and table.facts_of:
        known = (*known, *(fact.name for fact in held.facts.values() if table.facts_of in fact.of and fact.kind == "yes_no"))
    if table.columns_of:
        columns: Collection[str] = as_map(section(held.root, "properties", table.columns_of), "a table").keys
    else:
        columns = table.columns
    for row, key in node.keys.items():
        if known is not None and row not in known:
            raise refused(key.place, f"nothing is called {shown(row)} in table `{name}`{suggestion(row, known)}")
        cells = as_map(node.entries[row], f"row `{row}`")
        for column, column_key in cells.keys.items():
            declared = table.column(column) if column in columns else None
            if declared is None:
                raise refused(column_key.place, f"no code reads {shown(column)} in table `{name}`{suggestion(column, columns)}")
            _check_cell(cells, column, declared, held)


def _known_rows(name: str, table: Table, read: Declaration, held: Held) -> tuple[str, ...] | None:
    """The rows that a table may have, none for any: where the pack declares the words of descriptions, those of the table that does."""
    if not (held.declares and table.described):
        return table.known
    home = read.table_of(table.described)
    return None if home == name else tuple(as_map(section(held.root, "properties", home), "a table").keys)


def _check_cell(row: Map, column: str, declared: Column, held: Held) -> None:
    cell = as_scalar(row.entries[column], f"`{column}`")
    conducts = row.entries.get("conducts")
    nothing = cell.text == "none" and isinstance(conducts, Scalar) and conducts.text == "no"
    known: Iterable[str] | None = declared.words or None
    what = f"value of `{column}`"
    if declared.names == "value" and not nothing:
        known, what = held.values, "named value"
    elif declared.names == "comparison":
        known, what = (BY_SIZE, BY_RESISTANCE, *held.values), "`size`, `resistance` or named value"
    elif declared.names == "reference":
        known, what = held.references, "reference table"
    elif declared.names.startswith(_ROW_OF):
        table = declared.names.removeprefix(_ROW_OF)
        known, what = as_map(section(held.root, "properties", table), "a table").keys, f"row of `{table}`"
    elif declared.names.startswith(_CHOICE_OF):
        fact = declared.names.removeprefix(_CHOICE_OF)
        known, what = held.facts[fact].choices if fact in held.facts else (), f"choice of `{fact}`"
    if known is not None and cell.text not in (known := tuple(known)):
        raise refused(cell.place, f"{shown(cell.text)} is no {what}{suggestion(cell.text, known)}")
    if declared.names == "section" and not _SECTION.fullmatch(cell.text):
        raise refused(cell.place, f"{shown(cell.text)} is no section; write three digits in quotes, or `none`")
    if declared.names == TEXT_WITH_NUMBER:
        _check_filled(cell)


def _check_filled(cell: Scalar) -> None:
    for found in _FILLED.finditer(cell.text):
        if found[1] != "number":
            raise refused(cell.place, f"{shown(found[0])} cannot be filled here; only `{{number}}` can")


def _words(*nodes: Node) -> set[str]:
    """The texts of all scalars in them."""
    found, left = set[str](), list(nodes)
    while left:
        node = left.pop()
        if isinstance(node, Scalar):
            found.add(node.text)
        else:
            left += node.items if isinstance(node, Items) else node.entries.values()
    return found
