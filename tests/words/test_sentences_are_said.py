"""Each sentence that is declared is said by code, and code says no other; the frozen ones are all there."""

import ast
from collections.abc import Iterator, Mapping

import pytest
from tests.architecture.house import sources, tree_of
from tests.words.test_style import faults

from bondwright.calculations import catalogue as calculations
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.reading.advice import MARKS
from bondwright.shelf.reading.nodes import read_nodes
from bondwright.shelf.reading.values import CONFIDENCES
from bondwright.shelf.words.sentences import (
    CALCULATIONS,
    SECTION,
    UNDECLARED_CALCULATIONS,
    UNDECLARED_PAGE,
    UNDECLARED_WORDS,
    read_sentences,
)

READ = declaration(rules_folder())
DECLARED = {**READ.sentences, **READ.calculations, **READ.later_sentences}
PAIRINGS = ("exposed_to_exposed", "exposed_to_extraneous", "extraneous_to_extraneous")
SECTIONS = (
    *("not_in_use", "not_covered", "not_used", "supply", "check", "found", "do", "kept", "covered", "free", "nothing"),
    *("reading", "test", "record", "customer", "safety", "basis"),
)
"""The sections of the page for the site."""
PUT_TOGETHER = {
    *(f"mark_{mark}" for mark in MARKS),
    *(f"confidence_{confidence}" for confidence in CONFIDENCES),
    *(f"page_chosen_{field}" for field in ("rule_pack", "designed_on", "inspected_on")),
    *(f"page_not_used_{why}" for why in ("not_in_pack", "not_in_such_a_location", "not_such_a_value")),
    *(f"name_{end}" for end in ("length", "near_end", "far_end")),
    *(f"rests_on_{confidence}" for confidence in (*CONFIDENCES, "none_needed")),
    *(f"title_{name.replace('-', '_')}" for name in calculations.CALCULATIONS),
    *(f"link_{pairing}_{how}" for pairing in PAIRINGS for how in ("protected", "unprotected")),
    *(f"step_strength_{how}{metal}" for how in ("protected", "unprotected") for metal in ("", "_in")),
    *(f"step_{end}_expected" for end in ("least", "greatest")),
    *(f"site_opens_{kind}" for kind in ("inspected", "new", "relying")),
    *(f"site_pme_{conditions}" for conditions in ("apply", "do_not_apply")),
    *(f"site_phases_{phases}" for phases in ("single", "three")),
    *(f"site_name_{which}" for which in ("entering", "inside", "beyond", "near_end", "far_end")),
    *(f"site_label_{section}" for section in SECTIONS),
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


@pytest.mark.parametrize(
    ("file", "section", "declared"),
    [(UNDECLARED_WORDS, SECTION, READ.sentences), (UNDECLARED_CALCULATIONS, CALCULATIONS, READ.calculations)],
)
def test_packs_of_before_have_every_sentence(file: str, section: str, declared: Mapping[str, tuple[str, ...]]) -> None:
    frozen = read_nodes(file_bytes(rules_folder() / file, file), file)

    assert read_sentences(frozen.entries[section], declared, section).by_code.keys() == declared.keys()


def test_no_sentence_of_calculations_has_the_code_of_another() -> None:
    assert READ.sentences.keys() & READ.calculations.keys() == set()


def test_packs_of_before_the_page_for_the_site_have_every_sentence_of_it() -> None:
    frozen = read_nodes(file_bytes(rules_folder() / UNDECLARED_PAGE, UNDECLARED_PAGE), UNDECLARED_PAGE)
    said = read_sentences(frozen.entries[SECTION], READ.later_sentences, SECTION).by_code

    assert said.keys() == READ.later_sentences.keys()
    assert {code: fault for code, text in said.items() if (fault := faults(text))} == {}


def test_a_sentence_that_is_not_declared_would_be_found() -> None:
    assert [*said("pack.say('one' if many else 'two', size='3'); say('four'); pack.tell('five')")] == ["one", "two", "four"]
