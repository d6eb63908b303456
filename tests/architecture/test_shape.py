"""Modules, folders and functions stay small, and everything public says what it is."""

import ast
from collections import Counter

import pytest
from tests.architecture.house import nowhere, sources, tree_of

SOURCES = sources()

LONGEST_MODULE = 300
LONGEST_FUNCTION = 40
FULLEST_FOLDER = 12

Function = ast.FunctionDef | ast.AsyncFunctionDef


def too_long(source: str) -> list[str]:
    """The module if over 300 lines, and each function whose body, less its docstring, is over 40."""
    lines = len(source.splitlines())
    faults = [f"{lines} lines"] if lines > LONGEST_MODULE else []
    for node in ast.walk(tree_of(source)):
        if isinstance(node, Function) and (length := _body_lines(node)) > LONGEST_FUNCTION:
            faults.append(f"{node.lineno}: {node.name} has {length} lines")
    return faults


def undocumented(source: str) -> list[str]:
    """The module if it has no docstring, and each public class, function and method without one."""
    tree = tree_of(source)
    return ([] if ast.get_docstring(tree) else ["1: the module"]) + _undocumented_in(tree)


def too_full(modules: list[str]) -> list[str]:
    """Each folder that holds more than twelve modules, its `__init__` not counted."""
    packages = {module.rpartition(".")[0] for module in modules}
    counts = Counter(module.rpartition(".")[0] for module in modules if module not in packages)
    return [f"{folder} holds {count} modules" for folder, count in counts.items() if count > FULLEST_FOLDER]


def _body_lines(function: Function) -> int:
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1 if body else 0


def _undocumented_in(owner: ast.Module | ast.ClassDef) -> list[str]:
    faults = []
    for node in ast.iter_child_nodes(owner):
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            faults += [] if ast.get_docstring(node) else [f"{node.lineno}: {node.name}"]
            faults += _undocumented_in(node) if isinstance(node, ast.ClassDef) else []
    return faults


def test_modules_and_functions_are_short() -> None:
    nowhere(lambda _, source: too_long(source))


def test_every_public_name_has_a_docstring() -> None:
    nowhere(lambda _, source: undocumented(source))


def test_folders_hold_at_most_twelve_modules() -> None:
    assert too_full(list(SOURCES)) == []


def test_a_module_of_301_lines_is_found() -> None:
    assert too_long("x = 0\n" * 300) == []
    assert too_long("x = 0\n" * 301) == ["301 lines"]


def test_a_function_of_41_lines_is_found() -> None:
    head = 'def go():\n    """Say.\n\n    More.\n    """\n'

    assert too_long(head + "    x = 0\n" * 40) == []
    assert too_long(head + "    x = 0\n" * 41) == ["1: go has 41 lines"]


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ("x = 0", "1: the module"),
        ('"""Doc."""\ndef go(): ...', "2: go"),
        ('"""Doc."""\nasync def go(): ...', "2: go"),
        ('"""Doc."""\nclass Go: ...', "2: Go"),
        ('"""Doc."""\nclass Go:\n    """Doc."""\n    def on(self): ...', "4: on"),
    ],
)
def test_a_missing_docstring_is_found(source: str, fault: str) -> None:
    assert undocumented(source) == [fault]


def test_private_names_need_no_docstring() -> None:
    assert undocumented('"""Doc."""\ndef _go(): ...\nclass Up:\n    """Doc."""\n    def __init__(self): ...') == []


def test_a_thirteenth_module_is_found() -> None:
    twelve = ["bondwright.api"] + [f"bondwright.api.m{number}" for number in range(12)]

    assert too_full(twelve) == []
    assert too_full([*twelve, "bondwright.api.m12"]) == ["bondwright.api holds 13 modules"]
