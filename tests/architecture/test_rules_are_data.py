"""No threshold, table or clause stands in Python: they are rule data."""

import ast
import re
from collections.abc import Iterator
from http import HTTPStatus

import pytest
from tests.architecture.house import folder_of, sources

SOURCES = sources()
NUMBERLESS = {module: source for module, source in SOURCES.items() if folder_of(module) in {"metalwork", "evaluate", "api"}}

PLAIN_NUMBERS = frozenset({0, 1, 2, 0.5, 100, 1000})
"""Counting, halves, per cent and unit factors."""

NO_RULE_OF_BONDING = {
    ("api", 1_000_000),  # bytes: the largest request body
    ("api", 10_000),  # lines of a batch
    ("api", 100_000_000),  # bytes of a batch
    ("api", 2_000_000),  # bytes of a batch that stay in memory
    ("api", 255),  # signs of an idempotency key
    ("api", 20),  # entries on a page, if nothing is asked for
    ("evaluate", 3),  # the form of answers
    ("metalwork", 400),  # lengths of metalwork in one description
    ("metalwork", 64),  # nodes up to which the exact search for questions is made
    ("metalwork", 12),  # questions about one part
}
"""Numbers of the service's own making, each in its one folder."""

CLAUSE = re.compile(
    r"\b[3-8]\d\d\.\d+"  # 411.3.1.2
    r"|\b(?:Table|Appendix) ?\d"  # Table 54.8
    r"|\b(?:Regulation|Section|Clause) ?\d{3}"  # Section 701
    r"|\b(?:BS|EN|IEC)[ -]?(?:EN|IEC)?[ -]?\d{3}"  # BS 7671
)


def numbers(module: str, source: str) -> list[str]:
    """Each number of `source` that could be a rule's; `api` may also name HTTP statuses."""
    statuses = {status.value for status in HTTPStatus} if folder_of(module) == "api" else set()
    return [
        f"{module}:{node.lineno}: {node.value}"
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, int | float)
        and not isinstance(node.value, bool)
        and node.value not in PLAIN_NUMBERS | statuses
        and (folder_of(module), node.value) not in NO_RULE_OF_BONDING
    ]


def clauses(source: str) -> list[str]:
    """Each text of `source`, docstrings aside, that names a clause, a table or a standard."""
    tree = ast.parse(source)
    docstrings = set(_docstrings(tree))
    return [
        f"{node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in docstrings and CLAUSE.search(node.value)
    ]


def _docstrings(tree: ast.Module) -> Iterator[ast.expr]:
    """Texts that stand alone as a statement: docstrings, and notes under a constant."""
    yield from (node.value for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))


@pytest.mark.parametrize("module", NUMBERLESS)
def test_no_rule_number_stands_in_code(module: str) -> None:
    assert numbers(module, NUMBERLESS[module]) == []


@pytest.mark.parametrize("module", SOURCES)
def test_no_clause_stands_in_code(module: str) -> None:
    assert clauses(SOURCES[module]) == []


@pytest.mark.parametrize("source", ["limit_ohm = 22000", "low = resistance < 0.05", "size = max(6, half)", "step = -16", "share = 1.67"])
def test_a_rule_number_in_code_is_found(source: str) -> None:
    assert len(numbers("bondwright.metalwork.parts", source)) == 1


def test_a_status_is_a_plain_number_in_the_api_alone() -> None:
    assert numbers("bondwright.api.evaluations", "status = 201") == []
    assert len(numbers("bondwright.evaluate.reasoning.stages", "status = 201")) == 1


def test_counting_and_unit_factors_pass() -> None:
    assert numbers("bondwright.metalwork.parts", "x = length_m * 1000 + half * 0.5 - 1 + True") == []


@pytest.mark.parametrize(
    "source",
    [
        "clause = '411.3.1.2'",
        "why = f'see {place} and 544.1.1'",
        "table = 'Table 54.8'",
        "standard = 'BS 7671:2018'",
        "standard = 'IEC 60364-4-41'",
        "def go():\n    return 'Regulation 415'",
    ],
)
def test_a_clause_in_code_is_found(source: str) -> None:
    assert len(clauses(source)) == 1


@pytest.mark.parametrize(
    "source", ["'''Source: IEC 60364-5-54.'''", "host = '127.0.0.1'", "pack_id = 'bs7671-2018-a4-r2'", "x = '100.5 mm2'"]
)
def test_a_source_in_a_docstring_or_a_plain_text_is_no_clause(source: str) -> None:
    assert clauses(source) == []
