"""Each sentence that is declared is said by code, and code says no other; the frozen ones are all there."""

import ast
from collections.abc import Iterator

from tests.architecture.house import sources, tree_of

from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.reading.advice import MARKS
from bondwright.shelf.reading.nodes import read_nodes
from bondwright.shelf.reading.values import CONFIDENCES
from bondwright.shelf.words.sentences import SECTION, UNDECLARED_WORDS, read_sentences

DECLARED = declaration(rules_folder()).sentences
PUT_TOGETHER = {
    *(f"mark_{mark}" for mark in MARKS),
    *(f"confidence_{confidence}" for confidence in CONFIDENCES),
    *(f"page_chosen_{field}" for field in ("rule_pack", "designed_on", "inspected_on")),
    *(f"page_not_used_{why}" for why in ("not_in_pack", "not_in_such_a_location", "not_such_a_value")),
    *(f"name_{end}" for end in ("length", "near_end", "far_end")),
    *(f"short_{label}" for label in ("bond_there", "reading", "next_reading", "may_be_omitted", "verdict", "because", "missing")),
}
"""Codes of which code makes the last part."""


def said(source: str) -> Iterator[str]:
    """The codes that `source` says as they stand, those of both ways of a choice among them."""
    for node in ast.walk(tree_of(source)):
        if isinstance(node, ast.Call) and node.args and _called(node.func) == "say":
            first = node.args[0]
            for one in (first.body, first.orelse) if isinstance(first, ast.IfExp) else (first,):
                if isinstance(one, ast.Constant) and isinstance(one.value, str):
                    yield one.value


def _called(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else function.id if isinstance(function, ast.Name) else ""


def test_code_says_only_sentences_that_are_declared() -> None:
    assert {code for source in sources().values() for code in said(source)} - DECLARED.keys() == set()


def test_every_sentence_that_is_declared_is_said() -> None:
    constants = {
        node.value
        for source in sources().values()
        for node in ast.walk(tree_of(source))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }

    assert DECLARED.keys() - constants - PUT_TOGETHER == set()


def test_packs_of_before_have_every_sentence() -> None:
    frozen = read_nodes(file_bytes(rules_folder() / UNDECLARED_WORDS, UNDECLARED_WORDS), UNDECLARED_WORDS)

    assert read_sentences(frozen.entries[SECTION], DECLARED).by_code.keys() == DECLARED.keys()


def test_a_sentence_that_is_not_declared_would_be_found() -> None:
    assert [*said("pack.say('one' if many else 'two', size='3'); say('four'); pack.tell('five')")] == ["one", "two", "four"]
