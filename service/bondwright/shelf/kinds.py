"""Kinds of things and whether a pack judges them, out of its tables of properties."""

from collections.abc import Mapping
from functools import lru_cache

from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.facts import NO, YES, Place
from bondwright.rulebook.kinds import TABLES, Governed, Kind, KindOf, Kinds
from bondwright.rulebook.pack import Advice, Source
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.advice import read_advice
from bondwright.shelf.reading.nodes import Items, Map, Node, read_nodes, refused
from bondwright.shelf.reading.scalars import as_map, fields, one_of, text
from bondwright.shelf.reading.values import CONFIDENCES
from bondwright.shelf.reading.values import KINDS as BASES
from bondwright.shelf.reading.vocabulary import read_asks

UNDECLARED_KINDS = "undeclared-kinds.yaml"
"""The file of what packs are read with that were published before packs said which kinds they judge."""
JUDGED = "judged"
GENERAL = "not_judged"
"""The table with the words for a kind that has no row, in its one row `general`."""
_ROW = "general"
_NO_SECTION = "none"
_GOVERNED = ("section", "governed_by", "known", "ask", "source", "basis", "confidence")


class UndeclaredKinds(Struct, frozen=True):
    """What a pack is read with that was published before packs said which kinds they judge.

    `rows`: by table and kind, columns that its rows gain; a kind named there is judged, as is every kind that has a row in the pack.
    `advice`, `asks`: acts and questions that it gains.
    """

    rows: Mapping[str, Mapping[str, Mapping[str, str]]]
    general: Governed
    place: Place
    advice: Mapping[str, Advice]
    asks: Mapping[str, str]


@lru_cache(maxsize=1)
def undeclared_kinds() -> UndeclaredKinds:
    """What older packs are read with, out of the installed file of that."""
    node = read_nodes(file_bytes(rules_folder() / UNDECLARED_KINDS, UNDECLARED_KINDS), UNDECLARED_KINDS)
    entries = fields(node, "the file", ("kinds", GENERAL, "advice", "asks"))
    rows = {table: _plain(as_map(entry, "a table")) for table, entry in as_map(entries["kinds"], "`kinds`").entries.items()}
    general = entries[GENERAL]
    words = _governed(general, f"`{GENERAL}`", None)
    advice = {act: replace(one, place=None) for act, one in read_advice(entries["advice"]).items()}
    return UndeclaredKinds(rows, words, general.place, advice, read_asks(entries["asks"]))


def leaves_kinds_undeclared(properties: Node) -> bool:
    """Whether a pack has tables of kinds that do not say which it judges; packs did not from the first."""
    tables = as_map(properties, "`properties`").entries
    rows = [row for name in TABLES.values() for row in _rows(tables.get(name))]
    return bool(rows) and not any(JUDGED in row.entries for row in rows if isinstance(row, Map))


def read_kinds(
    properties: Node, facts: Node, sources: Mapping[str, Source], undeclared: UndeclaredKinds, declared: bool, told_by: Mapping[KindOf, str]
) -> Kinds:
    """The kinds that a pack has rows for; `declared`: its tables must say which of them it judges. `told_by`: the facts that tell them."""
    tables = as_map(properties, "`properties`")
    present = {of: as_map(tables.entries[name], "a table of properties") for of, name in TABLES.items() if name in tables.entries}
    if not declared or not present:
        return Kinds({of: _as_then(of, present.get(of), undeclared) for of in TABLES}, undeclared.general, undeclared.place, False, told_by)
    general = fields(properties, "`properties`", (GENERAL,), None)[GENERAL]
    words = fields(general, f"table `{GENERAL}`", (_ROW,))[_ROW]
    rows = {of: {name: _kind(of, name, table, sources) for name in table.entries} for of, table in present.items()}
    for of, fact in told_by.items():
        _refuse_choices(of, fact, rows.get(of, {}), facts)
    return Kinds(rows, _governed(words, "`general`", sources), words.place, True, told_by)


def _as_then(of: KindOf, table: Map | None, undeclared: UndeclaredKinds) -> dict[str, Kind]:
    """The kinds as they were judged when nothing said which are: all that have a row, and those that older packs are known to judge."""
    gained = undeclared.rows.get(TABLES[of], {})
    own = _plain(table) if table else {}
    places = {name: key.place for name, key in table.keys.items()} if table else {}
    return {
        name: Kind(of, name, None, places.get(name, undeclared.place), {**own.get(name, {}), **gained.get(name, {})})
        for name in (*own, *(name for name in gained if name not in own))
    }


def _kind(of: KindOf, name: str, table: Map, sources: Mapping[str, Source]) -> Kind:
    what, node = f"row `{name}`", table.entries[name]
    entries = fields(node, what, (JUDGED,), None)
    judged = one_of(entries[JUDGED], (YES, NO), f"value of `{JUDGED}`") == YES
    row = {column: text(cell, f"`{column}`") for column, cell in entries.items()}
    return Kind(of, name, None if judged else _governed(node, what, sources), table.keys[name].place, row)


def _governed(node: Node, what: str, sources: Mapping[str, Source] | None) -> Governed:
    entries = fields(node, what, _GOVERNED, None)
    section, governed_by, known, ask, source = (text(entries[column], f"`{column}`") for column in _GOVERNED[:5])
    if sources is not None:
        one_of(entries["source"], sources, "declared source")
    return Governed(
        section="" if section == _NO_SECTION else section,
        governed_by=governed_by,
        known=known,
        ask=ask,
        source=source,
        basis=one_of(entries["basis"], BASES, "kind of source"),
        confidence=one_of(entries["confidence"], CONFIDENCES, "confidence"),
    )


def _refuse_choices(of: KindOf, fact: str, kinds: Mapping[str, Kind], facts: Node) -> None:
    """Pass if the choices of a fact are the judged kinds, one by one: no rule can then test a kind that is not judged."""
    declared = as_map(facts, "`facts`").entries.get(fact)
    choices = as_map(declared, f"fact `{fact}`").entries.get("choices") if declared else None
    if not isinstance(choices, Items):
        return
    named = {text(choice, "a choice"): choice.place for choice in choices.items}
    for name, place in named.items():
        if name not in kinds or not kinds[name].judged:
            raise refused(place, f"`{name}` is no kind of {of} that table `{TABLES[of]}` judges; no rule may test it")
    for kind in kinds.values():
        if kind.judged and kind.name not in named:
            raise refused(kind.place, f"`{kind.name}` is judged, and is no choice of the fact `{fact}`; add it, or write `{JUDGED}: no`")


def _rows(table: Node | None) -> tuple[Node, ...]:
    return tuple(table.entries.values()) if isinstance(table, Map) else ()


def _plain(table: Map) -> dict[str, dict[str, str]]:
    return {
        name: {column: text(cell, f"`{column}`") for column, cell in as_map(row, f"row `{name}`").entries.items()}
        for name, row in table.entries.items()
    }
