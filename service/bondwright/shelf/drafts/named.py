"""What a change of an amendment names: a value, table, row, fact, outcome, condition, example and so on, and where that stands."""

from collections.abc import Mapping

from msgspec import Struct

from bondwright.shelf.drafts.shared import MAY_LACK
from bondwright.shelf.drafts.splicing import Path, node_at
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import flow, plain
from bondwright.shelf.reading.nodes import Items, Map, Node, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, fields, listed, suggestion, text

SECTIONS: Mapping[str, str] = {
    "value": "values",
    "series": "series",
    "table": "tables",
    "fact": "facts",
    "question": "asks",
    "outcome": "outcomes",
    "advice": "advice",
    "reading": "readings",
    "role": "roles",
    "property": "properties",
    "source": "sources",
    "place": "places",
    "place_not_judged": "places_not_judged",
    "reference": "references",
    "sentence": "sentences",
    "sentence_of_calculations": "calculations",
    "clause_forms": "clauses",
}
"""What stands under its name in a section, by the word for it."""
ROWS = {"table": ("rows",), "reference": ("rows",), "property": ()}
"""What has rows, and where these stand in it."""
OF_RULE = {"rule": (), "condition": ("when",), "example": ("examples",)}
"""What belongs to a rule, and where it stands in it."""
LISTS = ("stages", "joined", "cautions", "joined_rooms")
"""Sections that are lists whose rows have no name; `was` says which. Of a list further down the way is written, as `clauses/first`."""
_OF_THEIR_OWN = {
    "pack": "an amendment states its own whole",
    "rules": "a rule is added, withdrawn and replaced by changes of its own",
    **dict.fromkeys(("tables", "references"), "a row is named by the table and its keys, as `{table: …, row: …}`"),
}
"""Sections whose lists are changed in another way, which is told."""
NAMED_BY = (*SECTIONS, *OF_RULE, "row_of")
"""Every word by which a change names something."""


class Named(Struct, frozen=True):
    """What a change names: the word and the name for people, where it stands or would stand, and the node that names it.

    `kind`: the word, `row` for a row. `there`: whether it stands there; an example and a row of a list are found by what they say.
    `of_list`: a row of a list without names, whose path is that of the list.
    """

    kind: str
    name: str
    path: Path
    node: Node
    there: bool
    of_list: bool = False

    def words(self) -> str:
        """It in words, for refusals."""
        return f"{self.kind} {self.name}"


def named(node: Node, edition: Edition) -> tuple[Named, ...]:
    """What the map `node` names in the edition: one thing, or what belongs to each of several rules. Raises: UnreadableRules."""
    entries = fields(node, "what a change names", (), (*NAMED_BY, "row"))
    kinds = [kind for kind in NAMED_BY if kind in entries]
    if len(kinds) != 1:
        raise refused(node.place, f"a change names one thing, by one of {listed(NAMED_BY)}")
    kind, name = kinds[0], entries[kinds[0]]
    if "row" in entries:
        if kind not in ROWS:
            raise refused(as_map(node, "it").keys["row"].place, f"only {listed(ROWS)} have a `row`")
        return (_row(kind, name, entries["row"], edition),)
    if kind in OF_RULE:
        return tuple(_of_rule(kind, one, edition) for one in (name.items if isinstance(name, Items) else [name]))
    if kind == "row_of":
        return (_row_of(name, edition),)
    section, word = SECTIONS[kind], text(name, f"a {kind}")
    held = _section(section, name, edition)
    return (Named(kind, f"`{word}`", (section, word), name, word in held.entries),)


def known(named: Named, edition: Edition) -> Node:
    """What stands under the name. Raises: UnreadableRules, with the nearest name, where nothing does."""
    if named.there:
        return node_at(edition.root, named.path)
    holder = node_at(edition.root, named.path[:-1]) if named.path[0] in edition.root.entries else Map({}, {}, named.node.place)
    near = suggestion(str(named.path[-1]), holder.entries) if isinstance(holder, Map) else _limits(holder)
    raise refused(named.node.place, f"`{edition.files[-2]}` has no {named.words()}{near}")


def row_keys(table: Map, kind: str) -> int:
    """How many keys a row of such a table begins with: those of `by`, or one limit."""
    return len(as_map(table.entries["by"], "`by`").entries) if kind == "reference" else 1


def _section(section: str, node: Node, edition: Edition) -> Map:
    """The section; one that may be left out, and is, has nothing in it."""
    if section not in edition.root.entries:
        if section not in MAY_LACK:
            raise refused(node.place, f"the base has no section `{section}`")
        return Map({}, {}, node.place)
    return as_map(edition.root.entries[section], f"`{section}`")


def _row(kind: str, name: Node, row: Node, edition: Edition) -> Named:
    section, word = SECTIONS[kind], text(name, f"a {kind}")
    table = known(Named(kind, f"`{word}`", (section, word), name, word in _section(section, name, edition).entries), edition)
    if kind == "property":
        of, row_name = as_map(table, f"property `{word}`"), text(row, "a row")
        return Named("row", f"`{row_name}` of property `{word}`", (section, word, row_name), row, row_name in of.entries)
    one = as_map(table, f"{kind} `{word}`")
    rows, keys = as_items(fields(one, f"{kind} `{word}`", ("rows",), None)["rows"], "`rows`"), row_keys(one, kind)
    wanted = plain(row) if isinstance(row, Items) else [plain(row)]
    numbers = [number for number, held in enumerate(rows) if [plain(key) for key in as_items(held, "a row")[:keys]] == wanted]
    there = bool(numbers)
    path: Path = (section, word, "rows", numbers[0] if there else len(rows))
    return Named("row", f"{shown(flow(row))} of {kind} `{word}`", path, row, there)


def _of_rule(kind: str, name: Node, edition: Edition) -> Named:
    word, rules = text(name, "a rule"), edition.rules()
    if word not in rules:
        if word in edition.withdrawn:
            place = edition.withdrawn[word]
            raise refused(name.place, f"rule `{word}` was withdrawn at {place.file}:{place.line}")
        raise refused(name.place, f"`{edition.files[-2]}` has no rule {shown(word)}{suggestion(word, rules)}")
    path: Path = ("rules", list(rules).index(word), *OF_RULE[kind])
    there = all(key in rules[word].entries for key in OF_RULE[kind])
    return Named(kind, f"`{word}`" if kind == "rule" else f"of rule `{word}`", path, name, there)


def _row_of(name: Node, edition: Edition) -> Named:
    word = text(name, "a list")
    section, *_ = path = word.split("/")
    if section in _OF_THEIR_OWN:
        raise refused(name.place, f"{shown(word)} has no rows of this kind; {_OF_THEIR_OWN[section]}")
    if word in LISTS and word in MAY_LACK and word not in edition.root.entries:
        return Named("row", f"of `{word}`", (word,), name, there=False, of_list=True)
    held: Node = edition.root
    for number, step in enumerate(path):
        inside = list(held.entries) if isinstance(held, Map) else []
        if step not in inside:
            near = suggestion(step, inside if number else [*LISTS, *SECTIONS.values()])
            raise refused(name.place, f"{shown(word)} is no list of rows{near}")
        held = as_map(held, "it").entries[step]
    if not isinstance(held, Items):
        inside = [key for key, node in held.entries.items() if isinstance(node, Items)] if isinstance(held, Map) else []
        ways = f"; its lists are {listed(f'{word}/{key}' for key in inside)}" if inside else ""
        raise refused(name.place, f"{shown(word)} is no list of rows{ways}")
    return Named("row", f"of `{word}`", tuple(path), name, there=True, of_list=True)


def _limits(holder: Node) -> str:
    first = [flow(as_items(row, "a row")[0]) for row in as_items(holder, "`rows`")]
    return f"; its rows are {listed(dict.fromkeys(first))}"
