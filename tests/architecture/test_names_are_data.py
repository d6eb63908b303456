"""No kind of location or item, no material, outcome or fact of a place is named in Python: what they are stands in the rule files."""

import ast
from collections.abc import Iterator, Mapping
from functools import cache

import pytest
from tests.architecture.house import PACKAGE, nowhere, sources, tree_of
from tests.rules.revisions import newest

from bondwright.rulebook.facts import YES
from bondwright.rulebook.kinds import TABLES, Governed
from bondwright.rulebook.pack import RulePack

SOURCES = sources()
EDITIONS = ("bs7671-2018-a4", "iec60364-2017")
OF_PLACES = {"room", "room_part"}
NO_NAMES = {"unknown", "other", "none", "nothing"}
"""Words that stand at every choice."""

ALLOWED = {
    "objection": "key of the rows of `joined`, and slot of the sentences of an act",
    "main_bond_size": "member of every answer and worked case, and name of what a calculation gives",
    "earthing_conductor_size": "member of every answer and worked case, and name of what a calculation gives",
    "required_earthing_conductor": "name of what two calculations are given and give",
    "operating_current": "name of what a calculation gives",
    "copper": "default of what calculations are asked",
    "extraneous": "name under which the building keeps what places ask of it",
    "main_bonding": "name under which the building keeps what places ask of it",
    "connection": "member of a description, in a pointer",
    "earth_free": "protective measure of a piece of equipment, a choice of every description",
}
"""Names that may stand in Python, at most twenty, each with its reason."""

OF_THINGS = (*TABLES.values(), "materials")
"""Tables of things that people name."""
ONE_ROW_ALONE = {
    ("touches", "item"): "one word of touching stands for metal that is described as an item itself",
    ("sized_metals", "least_separate"): "one metal alone has a least size of its own",
    ("tubes", "wall_by_outside"): "tubes of one metal are sold by their outside diameter",
    ("tubes", "outside_by_nominal"): "tubes of one metal are sold by their nominal size",
    ("tubes", "wall_by_nominal"): "tubes of one metal are sold by their nominal size",
    ("materials", "lead"): "what cannot be clamped like other metal is one metal today",
    ("item_kinds", "telecom"): "what belongs to a telecommunication operator is one kind today",
    ("room_kinds", "raised_touch_current"): "of two kinds of location that are judged one may have it",
}
"""Columns that one row alone fills, or of which it alone says yes, each with its reason."""


GOVERNED = (*Governed.__struct_fields__, "judged")
"""Columns that say why a kind is not judged."""


@cache
def packs() -> tuple[RulePack, ...]:
    """The newest packs."""
    return tuple(newest(edition) for edition in EDITIONS)


@cache
def names() -> frozenset[str]:
    """Every name that is looked for."""
    found: set[str] = set()
    for pack in packs():
        found |= {*pack.kinds.rows["location"], *pack.kinds.rows["item"], *pack.properties["materials"], *pack.outcomes}
        found |= {name for name, fact in pack.facts.items() if OF_PLACES & set(fact.of)}
    return frozenset(found - NO_NAMES)


def named(source: str, looked_for: frozenset[str]) -> Iterator[tuple[int, str]]:
    """Line and name of each text of `source` that is one of the names, or has one in it and is no sentence; docstrings aside."""
    tree = tree_of(source)
    aside = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside and node.value in looked_for:
            yield node.lineno, node.value
        if isinstance(node, ast.JoinedStr):
            yield from ((node.lineno, name) for name in _of_a_key(node) if name in looked_for)


def _of_a_key(node: ast.JoinedStr) -> list[str]:
    """The words between the slots of a text with slots, if it has no space and so is a key."""
    text = "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return [] if " " in text else text.replace("{}", "/").replace("-", "/").split("/")


def naming(_: str, source: str) -> list[str]:
    """Each name in a module that is not allowed."""
    return [f"{line}: {name}" for line, name in named(source, names()) if name not in ALLOWED]


def test_no_name_of_the_vocabulary_stands_in_code() -> None:
    nowhere(naming)


def test_few_names_are_allowed_each_with_a_reason_and_each_stands_somewhere() -> None:
    met = {name for source in SOURCES.values() for _, name in named(source, names())}

    assert len(ALLOWED) <= 20
    assert all(ALLOWED.values())
    assert ALLOWED.keys() - met == set()


@pytest.mark.parametrize(
    "source", ["x = 'bath_or_shower'", "row['structural_steel']", "f(of='lead')", "key = f'{node}/plastic'", "y = f'main_bonding-{x}'"]
)
def test_a_name_in_code_is_found(source: str) -> None:
    assert len(list(named(source, names()))) == 1


@pytest.mark.parametrize("source", ["'''bath_or_shower'''", "x = 'of lead'", "y = f'pipes of lead and {x}'", "z = 'unknown'", "lead = 1"])
def test_a_sentence_and_a_docstring_are_no_names(source: str) -> None:
    assert list(named(source, names())) == []


def test_the_names_are_those_of_the_vocabulary() -> None:
    assert len(names()) >= 120
    assert {"bath_or_shower", "tap", "lead", "main_bonding", "disconnection_met", "connection_limit"} <= names()


def test_no_data_file_stands_in_the_service() -> None:
    data = [path for path in PACKAGE.parent.rglob("*") if path.suffix in (".yaml", ".yml", ".json", ".csv", ".txt", ".toml")]

    assert [path.relative_to(PACKAGE.parent).as_posix() for path in data] == ["requirements.txt"]


def tables_of(pack: RulePack) -> Mapping[str, Mapping[str, Mapping[str, str]]]:
    """The tables of properties of a pack with what it is read with besides."""
    both = (pack.undeclared, pack.properties)
    rows = {name: dict.fromkeys(row for some in both for row in some.get(name, {})) for some in both for name in some}
    return {
        name: {row: {column: cell for some in both for column, cell in some.get(name, {}).get(row, {}).items()} for row in of}
        for name, of in rows.items()
    }


def of_one_row(tables: Mapping[str, Mapping[str, Mapping[str, str]]]) -> set[tuple[str, str]]:
    """Columns, by table and name, that one row of several fills; of kinds and materials also those in which one alone says yes."""
    found = set()
    for name, rows in tables.items():
        for column in {column for row in rows.values() for column in row}:
            cells = [row[column] for row in rows.values() if column in row]
            if len(rows) > 1 and (len(cells) == 1 or (name in OF_THINGS and cells.count(YES) == 1)):
                found.add((name, column))
    return found


def test_no_column_is_there_for_one_row_without_a_reason() -> None:
    found = {one for edition in EDITIONS for one in of_one_row(tables_of(newest(edition)))}
    reasons = ONE_ROW_ALONE | {(table, column): "of a kind that is not judged" for table in TABLES.values() for column in GOVERNED}

    assert found - reasons.keys() == set()
    assert ONE_ROW_ALONE.keys() - found == set()
    assert all(ONE_ROW_ALONE.values())
