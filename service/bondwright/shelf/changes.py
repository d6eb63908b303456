"""The changes that an amendment makes to its base, each only where the base has what the change expects."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from bondwright.members import replace
from bondwright.rulebook.facts import Place
from bondwright.shelf.edition import Edition, EditionFile, check_rule
from bondwright.shelf.lines import Line, flow, indent, moved, plain, span
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import any_quantity, as_items, as_map, as_scalar, fields, listed, number, suggestion, text
from bondwright.shelf.reading.values import CONFIDENCES, read_backing
from bondwright.shelf.reading.vocabulary import read_sources

_SETTABLE = ("clause", "says", "other_view", "source")
_OPTIONAL = "other_view"
_CITED = ("clause", "source")
_BRINGS = {"add": "add", "replace": "with"}


@dataclass(frozen=True, slots=True)
class Change:
    """One change of an amendment."""

    node: Node
    kind: str
    file: EditionFile

    def fields(self, *others: str, optional: Iterable[str] = ()) -> dict[str, Node]:
        """Its entries, which are the named ones, and of the `optional` ones those that it has."""
        return fields(self.node, f"a change with `{self.kind}`", (self.kind, *others), optional)

    def own(self, *required: str, optional: Iterable[str] = ()) -> dict[str, Node]:
        """The entries of the map that it consists of."""
        return fields(self.fields()[self.kind], f"`{self.kind}`", required, optional)

    def check_cited(self, entries: Mapping[str, Node], edition: Edition) -> None:
        """Refuses a clause or source that cannot be read."""
        text(entries["clause"], "`clause`")
        read_backing(entries["source"], read_sources(edition.root.entries["sources"]))

    def rule_lines(self, rule: Node) -> tuple[Line, ...]:
        """The lines of a rule that it brings."""
        check_rule(rule, self.file.lines)
        starts = [key.place.line for key in self.file.root.keys.values()]
        for item in as_items(self.file.root.entries["changes"], "`changes`"):
            starts += [key.place.line for key in as_map(item, "a change").keys.values()]
        starts += [item.place.line for item in as_items(as_map(self.node, "a change").entries[_BRINGS[self.kind]], "rules")]
        end = min((line for line in starts if line > rule.place.line), default=len(self.file.lines) + 1)
        return self.file.lines[span(self.file.lines, rule.place.line, end)]


def _add(change: Change, edition: Edition) -> Edition:
    for rule in as_items(change.fields()["add"], "`add`"):
        added = change.rule_lines(rule)
        identifier = as_map(rule, "a rule").entries["id"]
        name, rules = text(identifier, "`id`"), edition.rules()
        if name in rules:
            raise refused(identifier.place, f"rule `{name}` stands already at {_words(edition.at(rules[name]))}; an id is never used twice")
        if name in edition.withdrawn:
            detail = f"rule `{name}` was withdrawn at {_words(edition.withdrawn[name])}; an id is never used again"
            raise refused(identifier.place, detail)
        if not rules:
            raise refused(identifier.place, f"`{edition.files[0]}` has no rule after which this one could stand")
        last = edition.rule_span([*rules.values()][-1])
        shift = indent(edition.lines[last.start].text) - indent(added[0].text)
        edition = edition.with_lines(slice(last.stop, last.stop), moved(added, shift))
    return edition


def _withdraw(change: Change, edition: Edition) -> Edition:
    entries = change.fields("was", *_CITED)
    change.check_cited(entries, edition)
    rule = _rule(entries["withdraw"], edition)
    expect(entries["was"], _entry(rule, "says"), f"rule `{flow(entries['withdraw'])}` says", edition)
    where, place = edition.rule_span(rule), entries["withdraw"].place
    name, clause = flow(entries["withdraw"]), text(entries["clause"], "`clause`")
    note = f"{' ' * indent(edition.lines[where.start].text)}# rule {name} is withdrawn: {_words(place)}, {clause}"
    return replace(edition.with_lines(where, [Line(note, place, None)]), withdrawn={**edition.withdrawn, name: place})


def _replace(change: Change, edition: Edition) -> Edition:
    entries = change.fields("was", "with")
    rule = _rule(entries["replace"], edition)
    expect(entries["was"], _entry(rule, "says"), f"rule `{flow(entries['replace'])}` says", edition)
    brought = as_items(entries["with"], "`with`")
    if len(brought) != 1:
        raise refused(entries["with"].place, "`with` is a list of one rule, written as a block that starts with the line `- id: …`")
    new, where = change.rule_lines(brought[0]), edition.rule_span(rule)
    identifier = as_map(brought[0], "a rule").entries["id"]
    if plain(identifier) != plain(entries["replace"]):
        raise refused(identifier.place, f"the replacement of rule `{flow(entries['replace'])}` keeps its id")
    return edition.with_lines(where, moved(new, indent(edition.lines[where.start].text) - indent(new[0].text)))


def _set(change: Change, edition: Edition) -> Edition:
    entries = change.own("rule", optional=_SETTABLE)
    if len(entries) == 1:
        raise refused(change.node.place, f"`set` changes at least one of {listed(_SETTABLE)}")
    for name in (key for key in entries if key != "rule"):
        rule = _rule(entries["rule"], edition)
        if name == _OPTIONAL and name not in rule.entries:
            raise refused(entries[name].place, f"rule `{flow(entries['rule'])}` has no `{name}`; `replace` the rule to give it one")
        step = fields(entries[name], f"`{name}`", ("was", "now"))
        expect(step["was"], _entry(rule, name), f"`{name}` of rule `{flow(entries['rule'])}` is", edition)
        differs(step)
        edition = _with_entry(edition, rule, name, flow(step["now"]), step["now"].place, tuple(edition.rules().values()))
    return edition


def _set_value(change: Change, edition: Edition) -> Edition:
    entries = change.own("name", "was", "now", *_CITED)
    change.check_cited(entries, edition)
    values = as_map(edition.root.entries["values"], "`values`")
    name = _known(entries["name"], values, "value", edition)
    held = fields(values.entries[name], f"value `{name}`", ("value",), None)["value"]
    expect(entries["was"], held, f"value `{name}` is", edition)
    differs(entries)
    any_quantity(entries["now"], f"value `{name}`")
    clause, source = (flow(entries[key]) for key in _CITED)
    written = f"{{value: {flow(entries['now'])}, clause: {clause}, source: {source}}}"
    return _with_entry(edition, values, name, written, entries["now"].place, ())


def _set_cell(change: Change, edition: Edition) -> Edition:
    entries = change.own("table", "up_to", "was", "now", *_CITED)
    change.check_cited(entries, edition)
    tables = as_map(edition.root.entries["tables"], "`tables`")
    name = _known(entries["table"], tables, "table", edition)
    table = as_map(tables.entries[name], f"table `{name}`")
    parts = fields(table, f"table `{name}`", ("rows", *_CITED), None)
    cell = _cell(entries["up_to"], parts["rows"], name)
    expect(entries["was"], cell, f"table `{name}` up to `{flow(entries['up_to'])}` has", edition)
    differs(entries)
    number(entries["now"], "`now`")
    check_no_better(entries["source"], parts["source"])
    line, start = edition.lines[cell.place.line - 1], cell.place.column - 1
    text_now = f"{line.text[:start]}{flow(entries['now'])}{line.text[start + len(cell.text) + 2 * cell.quoted :]}"
    row = slice(cell.place.line - 1, cell.place.line)
    edition = edition.with_lines(row, [Line(text_now, entries["now"].place, None)])
    for key in _CITED:
        tables = as_map(edition.root.entries["tables"], "`tables`")
        table = as_map(tables.entries[name], f"table `{name}`")
        edition = _with_entry(edition, table, key, flow(entries[key]), entries[key].place, tuple(tables.keys.values()))
    return edition


def _cell(up_to: Node, rows: Node, table: str) -> Scalar:
    pairs = [as_items(row, "a row") for row in as_items(rows, "`rows`")]
    for limit, entry in (pair for pair in pairs if len(pair) == 2):
        if plain(limit) == plain(up_to):
            return as_scalar(entry, "an entry")
    limits = listed(flow(pair[0]) for pair in pairs if pair)
    raise refused(up_to.place, f"table `{table}` has no row up to {shown(flow(up_to))}; it has {limits}")


def check_no_better(now: Node, was: Node, what: str = "table") -> None:
    """The other cells keep resting on what they rested on, so one cell cannot make the table or row better backed."""
    new, old = (flow(fields(node, "`source`", ("confidence",), None)["confidence"]) for node in (now, was))
    if old in CONFIDENCES and CONFIDENCES.index(new) < CONFIDENCES.index(old):
        raise refused(now.place, f"the {what}'s other cells are `{old}`; one cell cannot make it `{new}`")


def _with_entry(edition: Edition, owner: Map, key: str, written: str, place: Place, within: tuple[Node, ...]) -> Edition:
    where = edition.entry_span(owner, key, within)
    return edition.with_lines(where, [Line(f"{' ' * (owner.keys[key].place.column - 1)}{key}: {written}", place, None)])


def _rule(node: Node, edition: Edition) -> Map:
    name, rules = text(node, "a rule"), edition.rules()
    if name in rules:
        return rules[name]
    if name in edition.withdrawn:
        raise refused(node.place, f"rule `{name}` was withdrawn at {_words(edition.withdrawn[name])}")
    raise refused(node.place, f"`{edition.files[-2]}` has no rule {shown(name)}{suggestion(name, rules)}")


def _entry(rule: Map, key: str) -> Node:
    return fields(rule, "a rule", (key,), None)[key]


def _known(node: Node, section: Map, what: str, edition: Edition) -> str:
    name = text(node, f"a {what}")
    if name not in section.entries:
        raise refused(node.place, f"`{edition.files[-2]}` has no {what} {shown(name)}{suggestion(name, section.entries)}")
    return name


def expect(was: Node, found: Node, what: str, edition: Edition) -> None:
    """Refuses a `was` that is not what the base says; `what`: the words before what it says."""
    if plain(was) != plain(found):
        detail = f"the base has moved: {what} {shown(flow(found))} at {_words(edition.at(found))}, not {shown(flow(was))}"
        raise refused(was.place, detail)


def differs(step: Mapping[str, Node]) -> None:
    """Refuses a `now` that says the same as `was`."""
    if plain(step["was"]) == plain(step["now"]):
        raise refused(step["now"].place, "`now` says the same as `was`; the change changes nothing")


def _words(place: Place) -> str:
    return f"{place.file}:{place.line}"


CHANGES: Mapping[str, Callable[[Change, Edition], Edition]] = {
    "add": _add,
    "withdraw": _withdraw,
    "replace": _replace,
    "set": _set,
    "set_cell": _set_cell,
    "set_value": _set_value,
}
"""What makes each kind of change that is of one thing alone, by the key that names it."""
