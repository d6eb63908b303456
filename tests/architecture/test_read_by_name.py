"""What code reads from a pack by name, it reads at one place, and each name is declared."""

import ast
from collections.abc import Iterator

import pytest
from tests.architecture.house import folder_of, nowhere, sources, tree_of
from tests.rules.revisions import newest, published

from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.packs import rules_folder

SOURCES = sources()
TAKES_PACKS_APART = {
    "cli": "shows, compares and changes what packs hold, whatever it is called",
    "proofs": "changes what packs hold, to see that it is noticed",
    "rulebook": "holds a pack, and is the one place where it is looked up",
    "shelf": "makes packs of files",
}
"""The folders that look into a pack past the place for it, each with its reason. Every other one is guarded, also a new or renamed one."""
DECLARED = declaration(rules_folder())
BY_METHOD = {
    "number": DECLARED.values,
    "value": DECLARED.values,
    "has_value": DECLARED.values,
    "table": DECLARED.references,
    "has_table": DECLARED.references,
    "column": DECLARED.references,
    "fact": DECLARED.facts,
    "row": {**DECLARED.properties, **DECLARED.references},
    "around": DECLARED.references,
    "rows": DECLARED.properties,
    "known": DECLARED.properties,
    "ask": DECLARED.properties,
    "word": DECLARED.properties,
    "stands": DECLARED.properties,
    "tells": DECLARED.properties,
    "told": DECLARED.properties,
    "cell": {**DECLARED.properties, **DECLARED.references},
}
OF_A_PACK = ("pack", "bench", "tables", "self")
"""What those methods are called on; other things have methods of such names too."""
OLDER = {"conductor_metals", "water-temperature-coefficient"}
"""Tables of the first format alone."""
SHOWN = {"k-initial-temperature", "k-final-temperature"}
"""Tables that stand beside another, for whoever checks it."""
COLUMNS_OF_KINDS = {"section", "governed_by", "known", "ask", "source", "basis", "confidence", "judged"}
"""Columns that the shelf reads, of kinds of things that are not judged."""


def looks(source: str) -> list[str]:
    """Each place of `source` where tables, values or references of a pack are looked up past the place for it."""
    tree = tree_of(source)
    called = {node.func for node in ast.walk(tree) if isinstance(node, ast.Call)}
    return [
        f"{node.lineno}: .{node.attr}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and (node.attr in ("properties", "references") or (node.attr == "values" and node not in called))
    ]


def names_read(source: str) -> Iterator[tuple[str, str]]:
    """Each method by which `source` reads a pack, with the first name given to it as text or as a constant of the module."""
    tree = tree_of(source)
    constants = dict(_constants(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in BY_METHOD and node.args:
            owner = node.func.value
            said = owner.attr if isinstance(owner, ast.Attribute) else owner.id if isinstance(owner, ast.Name) else ""
            first = node.args[0]
            name = first.value if isinstance(first, ast.Constant) else constants.get(first.id) if isinstance(first, ast.Name) else None
            if said in OF_A_PACK and isinstance(name, str):
                yield node.func.attr, name


def _constants(tree: ast.Module) -> Iterator[tuple[str, str]]:
    for node in tree.body:
        if isinstance(node, ast.Assign):
            for target in node.targets:
                names = target.elts if isinstance(target, ast.Tuple) else [target]
                values = node.value.elts if isinstance(node.value, ast.Tuple) and isinstance(target, ast.Tuple) else [node.value]
                for name, value in zip(names, values, strict=False):
                    if isinstance(name, ast.Name) and isinstance(value, ast.Constant) and isinstance(value.value, str):
                        yield name.id, value.value


def undeclared(_module: str, source: str) -> list[str]:
    """Each name that is read and not declared, after the method that reads it."""
    return [f"{method} {name}" for method, name in names_read(source) if name not in (*BY_METHOD[method], *OLDER)]


def past_the_place(module: str, source: str) -> list[str]:
    """Each such look in a module whose folder is not listed among those that take packs apart."""
    return [] if folder_of(module) in TAKES_PACKS_APART else looks(source)


def test_a_pack_is_read_at_one_place() -> None:
    nowhere(past_the_place)


@pytest.mark.parametrize("folder", TAKES_PACKS_APART)
def test_each_folder_that_is_listed_takes_packs_apart(folder: str) -> None:
    assert any(looks(source) for module, source in SOURCES.items() if folder_of(module) == folder)


def test_each_name_that_is_read_is_declared() -> None:
    nowhere(undeclared)


@pytest.mark.parametrize("module", ["bondwright.cellar.shelf", "bondwright.lone", "bondwright.facts.parts.new"])
def test_a_look_from_a_folder_that_is_new_or_renamed_is_found(module: str) -> None:
    assert len(past_the_place(module, "x = pack.references.get('k')")) == 1
    assert past_the_place("bondwright.shelf.packs", "x = pack.references.get('k')") == []


def test_the_names_are_found() -> None:
    found = {name for source in SOURCES.values() for _, name in names_read(source)}

    assert len(found) >= 35
    assert {"nominal_voltage", "breaker-multiple", "materials", "reading_uncertainty"} <= found


def test_each_name_that_is_declared_is_read() -> None:
    texts = {
        node.value
        for module, source in sources().items()
        if folder_of(module) != "shelf"
        for node in ast.walk(tree_of(source))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    columns = {column for table in DECLARED.properties.values() for column, held in table.columns.items() if not held.tells}
    told = {held.tells for table in DECLARED.properties.values() for held in table.columns.values()}
    tables = (newest("bs7671-2018-a4").properties, published("bs7671-2018-a4-r7").undeclared)
    by_cells = {cell for some in tables for rows in some.values() for row in rows.values() for cell in row.values()}
    facts = {name for name, fact in DECLARED.facts.items() if not fact.until}
    declared = {*DECLARED.values, *DECLARED.references, *DECLARED.properties, *facts, *DECLARED.advice.needed, *columns}

    assert declared - texts - by_cells - told - SHOWN - COLUMNS_OF_KINDS == set()


@pytest.mark.parametrize("source", ["x = pack.properties['materials']", "x = pack.references.get('k')", "x = pack.values['y']"])
def test_a_look_past_the_place_is_found(source: str) -> None:
    assert len(looks(source)) == 1


def test_the_values_of_a_mapping_are_no_look() -> None:
    assert looks("x = found.values()") == []
