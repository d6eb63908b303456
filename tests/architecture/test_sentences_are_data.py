"""No sentence of an answer stands in `calculations` or `report`: what they say stands in rule files, by code, and is filled there.

Looked for is any text with two words in a row, or that begins with a capital as a label does; what is put together from
single words a reading in another language finds (`tests/words/test_calculations_in_another_language.py`).
"""

import ast
import re
from collections.abc import Iterator, Mapping

import pytest
from tests.architecture.house import folder_of, nowhere, sources, tree_of

FOLDERS = ("calculations", "report")
NO_ANSWERS: Mapping[str, str] = {
    "Fault": "an error",
    "missing": "an error",
    "fault": "an error",
    "_left_out": "an error",
    "PydanticCustomError": "an error",
    "Field": "an input, described in the document",
    "ConfigDict": "an input, described in the document",
}
"""Calls whose texts are none of an answer."""
ERRORS = frozenset({"way_out", "detail", "_CONTACTS"})
"""Names of texts that end up in errors."""
DOCUMENT = frozenset({"AS_SHOWN", "DEVICE_WORDS", "TOUCH_CURRENT_WORDS"})
"""Names of texts that describe inputs in the document."""
IN_ERRORS = frozenset({"imperial_sizes", "no_row", "_no_rows", "_nearest", "_below_all"})
"""Functions that say what is wrong with an input, and what may stand there."""
NAMES: Mapping[str, str] = {
    "of one": "a unit",
    "Cmin": "name of a quantity",
    "Cmax": "name of a quantity",
    "line to earth": "name of a quantity",
    "row of the table, up to": "name of a quantity",
    "{} in phase": "name of a quantity",
    "angle of {}": "name of a quantity",
    "earth path": "name of a branch of a network",
    "bond of {}": "name of a branch of a network",
    "terminal of {}": "name of a joint of a network",
}
"""Texts of an answer that may stand in code, each with the reason."""

_SAID = re.compile(r"(?<![\w.])[A-Za-z'-]{2,}[.,:;?]* +[A-Za-z'-]{2,}(?![\w(])|^[A-Z][A-Za-z]{3,}")


def texts(source: str) -> Iterator[tuple[int, str]]:
    """Line and text of everything that `source` could say in an answer, `{}` for what is filled in."""
    tree = tree_of(source)
    aside = {id(node) for left in _aside(tree) for node in ast.walk(left)}
    pieces = {id(piece) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for piece in node.values}
    for node in ast.walk(tree):
        if id(node) in aside | pieces:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value
        if isinstance(node, ast.JoinedStr):
            yield node.lineno, "".join(str(piece.value) if isinstance(piece, ast.Constant) else "{}" for piece in node.values)


def _aside(tree: ast.Module) -> Iterator[ast.AST]:
    """What holds no text of an answer: docstrings, errors, and the declaration of inputs."""
    for node in ast.walk(tree):
        match node:
            case ast.Expr(value=ast.Constant()) | ast.Raise() | ast.Assert():
                yield node
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if name in NO_ANSWERS:
                yield node
            case ast.Assign(targets=[ast.Name(id=name)], value=value) if name in ERRORS | DOCUMENT:
                yield value
            case ast.FunctionDef(name=name) if name in IN_ERRORS:
                yield node


def said(module: str, source: str) -> list[str]:
    """Each text of a module of these folders that could be a sentence or a label of an answer."""
    if folder_of(module) not in FOLDERS:
        return []
    return [f"{line}: {text}" for line, text in texts(source) if _SAID.search(text) and text not in NAMES]


def test_no_sentence_of_an_answer_stands_in_code() -> None:
    nowhere(said)


def test_each_exception_stands_somewhere() -> None:
    modules = [source for module, source in sources().items() if folder_of(module) in FOLDERS]
    trees = [tree_of(source) for source in modules]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    functions = {node.name for node in nodes if isinstance(node, ast.FunctionDef)}
    assigned = {node.targets[0].id for node in nodes if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)}
    called = {getattr(node.func, "id", getattr(node.func, "attr", "")) for node in nodes if isinstance(node, ast.Call)}

    assert NAMES.keys() - {text for source in modules for _, text in texts(source)} == set()
    assert IN_ERRORS - functions == set()
    assert (ERRORS | DOCUMENT) - assigned == set()
    assert NO_ANSWERS.keys() - called == set()


@pytest.mark.parametrize(
    "source",
    [
        "says = 'The least of its sizes'",
        "step('Resistance of it', formula)",
        "words = f'above {limit:g} A; no promise'",
        "row('Holds', text)",
        "x = f'Step {number}'",
        "heading = 'CAUTIONS'",
        "formula = f'{size} = the larger of {a} and {b}'",
        "WORDS = {'above': 'above the limit'}",
    ],
)
def test_a_sentence_in_code_is_found(source: str) -> None:
    assert len(said("bondwright.calculations.touch.new", source)) == 1
    assert said("bondwright.metalwork.parts", source) == []


@pytest.mark.parametrize(
    "source",
    [
        "'''The least of its sizes.'''",
        "raise Contradiction((Fault('/size', 'write a size in mm²'),))",
        "way_out = 'leave it out here'",
        "length_m: LengthM = Field(description='Its length, one way.')",
        "formula = 'least_size = sqrt(I^2 t) / k'",
        "formula = f'{name} = R20 (1 + alpha (temperature - {REFERENCE_C}))'",
        "name = 'copper_equivalent'",
        "say('step_its_length', metal='G')",
    ],
)
def test_an_error_a_formula_and_a_name_are_no_sentences(source: str) -> None:
    assert said("bondwright.report.new", source) == []
