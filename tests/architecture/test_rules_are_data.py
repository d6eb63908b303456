"""No threshold, table or clause stands in Python: they are rule data."""

import ast
import re
from collections.abc import Iterator
from http import HTTPStatus

import pytest
from tests.architecture.house import folder_of, nowhere, sources, tree_of

SOURCES = sources()
PLAIN_NUMBERS = frozenset({0, 1, 2, 0.5, 100, 1000})
"""Counting, halves, per cent and unit factors."""

NUMBERS_OF_ITS_OWN = {
    "assembly": "limits of the service: threads, seconds, requests",
    "audit": "layout of records and databases: versions, bytes, permissions, seconds",
    "cli": "widths, seconds and counts of commands",
    "engine": "limits of the engine: columns, demands, rows of a batch, what it remembers",
    "proofs": "how far is searched and drawn before a pack is published",
    "settings": "what differs from one machine to the next",
    "shelf": "limits of reading files, and lengths of ids and digests",
}
"""The folders in whose numbers no rule is looked for, each with its reason. Every other folder is guarded, also a new or renamed one."""

DECLARES_INPUTS = {
    "calculations": "ranges and examples of inputs, which the document shows; no verdict rests on them",
    "installation": "ranges and examples of what can be described, which the document shows; no verdict rests on them",
}
"""The folders whose numbers may stand in the declaration of an input, that is within `Field` or `ConfigDict`, each with its reason."""
DECLARATIONS = frozenset({"Field", "ConfigDict"})

NO_RULE_OF_BONDING = {
    ("access", 8),  # bytes of the id of a key
    ("access", 32),  # bytes of its secret
    ("access", 12),  # signs of the id
    ("access", 3),  # group of a pattern
    ("access", 4),  # group of a pattern; bytes of a check sum
    ("api", 1_000_000),  # bytes: the largest request body
    ("api", 10_000),  # lines of a batch
    ("api", 100_000_000),  # bytes of a batch
    ("api", 2_000_000),  # bytes of a batch that stay in memory
    ("api", 100_000),  # bytes of an answer that a thread compresses
    ("api", 250_000),  # bytes of a large answer that are sent at a time
    ("api", 250),  # prices that are worked out in a second, for a header Retry-After
    ("api", 0.1),  # seconds by which a refusal for want of allowance is told later
    ("api", 4),  # level of gzip
    ("api", 16),  # zlib's mark for the head that gzip has
    ("api", 255),  # signs of an idempotency key
    ("api", 20),  # entries on a page, if nothing is asked for
    ("calculations", 20),  # degrees Celsius to which the tables of resistivity and of conductivity of water refer
    ("calculations", 120),  # degrees between phases
    ("calculations", 1e-10),  # what rounding leaves of a sum
    ("calculations", 1e300),  # beyond every reading
    ("calculations", 5),  # per cent of people, as the published table names its columns
    ("calculations", 50),
    ("calculations", 95),
    ("calculations", 0.005),  # ampere: the range of readings that an input takes
    ("calculations", 30),
    ("calculations", 0.1),
    ("calculators", 4),  # of the area of a circle
    ("calculators", 25.4),  # millimetres in an inch
    ("calculators", 1e-7),  # the worst relative error of a network that was solved
    ("calculators", 1e-3),  # unit factors
    ("calculators", 1e-4),
    ("cases", 3),  # group of a pattern
    ("cases", 8),  # names that a message lists
    ("collecting", 50_000),  # new objects after which garbage is looked for
    ("compose", 4),  # the form of answers
    ("compose", 8000),  # objects of an answer that are known again by their ids
    ("installation", 10_000),  # metres: the range of an input
    ("installation", 2_000),  # millimetres: the range of an input
    ("installation", 10),  # errors looked at for a fault that is listed
    ("installation", 64),  # models of documents that are kept as they are read
    ("installation", 60),  # signs of a key that is compared with ours
    ("metalwork", 400),  # lengths of metalwork in one description
    ("metalwork", 64),  # nodes up to which the exact search for questions is made
    ("metalwork", 12),  # questions about one part
    ("report", 450),  # words of a page
    ("report", 10),  # metres for which a figure is worked out where nobody told a length
    ("report", 3),  # steps of a pointer down to what it is in, and those down to an item of a location
    ("report", 4),
    ("report", 5),  # questions that the page asks, names that it lists, and steps of a pointer
    ("report", 60),  # words of the questions
    ("report", 12),  # columns
    ("report", 14),
    ("units", 1_000_000),  # unit factors
    ("units", 1_000_000_000),
    ("units", 4),  # decimals of an answer
    ("units", 10),  # digits of an answer
    ("units", 14),  # digits that are exact
}
"""Numbers of the service's own making, each in its one folder."""

CLAUSE = re.compile(
    r"\b[3-8]\d\d\.\d+"  # 411.3.1.2
    r"|\b(?:Table|Appendix) ?\d"  # Table 54.8
    r"|\b(?:Regulation|Section|Clause) ?\d{3}"  # Section 701
    r"|\b(?:BS|EN|IEC)[ -]?(?:EN|IEC)?[ -]?\d{3}"  # BS 7671
)


def numbers(module: str, source: str) -> list[str]:
    """Each number of `source` that could be a rule's; none of a folder with numbers of its own."""
    return [
        f"{line}: {number}"
        for line, number in _numbers(module, source)
        if folder_of(module) not in NUMBERS_OF_ITS_OWN and (folder_of(module), number) not in NO_RULE_OF_BONDING
    ]


def _numbers(module: str, source: str) -> Iterator[tuple[int, float]]:
    """Line and value of each number that is not plain; `api` may also name HTTP statuses."""
    tree = tree_of(source)
    statuses = {status.value for status in HTTPStatus} if folder_of(module) == "api" else set()
    declared = set(_declared(tree)) if folder_of(module) in DECLARES_INPUTS else set()
    for node in ast.walk(tree):
        if node in declared or not isinstance(node, ast.Constant) or isinstance(node.value, bool):
            continue
        if isinstance(node.value, int | float) and node.value not in PLAIN_NUMBERS | statuses:
            yield node.lineno, node.value


def _declared(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in DECLARATIONS:
            yield from ast.walk(node)


def clauses(source: str) -> list[str]:
    """Each text of `source`, docstrings aside, that names a clause, a table or a standard."""
    tree = tree_of(source)
    docstrings = set(_docstrings(tree))
    return [
        f"{node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in docstrings and CLAUSE.search(node.value)
    ]


def _docstrings(tree: ast.Module) -> Iterator[ast.expr]:
    """Texts that stand alone as a statement: docstrings, and notes under a constant."""
    yield from (node.value for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))


def test_no_rule_number_stands_in_code() -> None:
    nowhere(numbers)


def test_each_number_that_is_listed_stands_in_its_folder() -> None:
    found = {(folder_of(module), number) for module, source in SOURCES.items() for _, number in _numbers(module, source)}

    assert NO_RULE_OF_BONDING - found == set()


@pytest.mark.parametrize("folder", NUMBERS_OF_ITS_OWN)
def test_each_folder_that_is_listed_has_numbers_of_its_own(folder: str) -> None:
    assert any(list(_numbers(module, source)) for module, source in SOURCES.items() if folder_of(module) == folder)


@pytest.mark.parametrize("folder", DECLARES_INPUTS)
def test_each_folder_that_is_listed_declares_inputs(folder: str) -> None:
    assert any(list(_declared(tree_of(source))) for module, source in SOURCES.items() if folder_of(module) == folder)


def test_no_clause_stands_in_code() -> None:
    nowhere(lambda _, source: clauses(source))


@pytest.mark.parametrize("source", ["limit_ohm = 22000", "low = resistance < 0.05", "size = max(6, half)", "step = -16", "share = 1.67"])
def test_a_rule_number_in_code_is_found(source: str) -> None:
    assert len(numbers("bondwright.metalwork.parts", source)) == 1


@pytest.mark.parametrize("module", ["bondwright.cellar.shelf", "bondwright.lone", "bondwright", "bondwright.plan.acts"])
def test_a_folder_that_is_new_or_renamed_is_guarded(module: str) -> None:
    assert len(numbers(module, "limit_ohm = 22000")) == 1
    assert numbers("bondwright.settings", "limit_s = 22000") == []


def test_a_number_may_stand_in_the_declaration_of_an_input_alone() -> None:
    source = "x: Annotated[float, Field(ge=7, le=22000)] = Field(examples=[23])"

    assert numbers("bondwright.calculations.inputs", source) == []
    assert len(numbers("bondwright.calculations.inputs", "limit_ohm = 22000")) == 1
    assert len(numbers("bondwright.metalwork.parts", source)) == 3


def test_a_status_is_a_plain_number_in_the_api_alone() -> None:
    assert numbers("bondwright.api.evaluations", "status = 201") == []
    assert len(numbers("bondwright.conclude.concluding", "status = 201")) == 1


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
