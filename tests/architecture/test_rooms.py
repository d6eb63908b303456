"""A description passes describe, facts, conclude and compose once, in that order, and `evaluate.order` alone leads it through."""

import ast
from collections.abc import Iterator, Mapping
from functools import cache

import pytest
from tests.architecture.house import FOLDERS, ROWS, folder_of, nowhere, sources, tree_of
from tests.architecture.test_imports import imported

SOURCES = sources()

MAY_NOT_IMPORT = {
    "metalwork": {"facts", "conclude", "plan", "compose", "evaluate"},
    "facts": {"plan", "compose", "evaluate"},
    "conclude": {"installation", "metalwork", "facts", "plan", "compose", "evaluate"},
    "plan": {"compose", "evaluate"},
    "compose": {"evaluate"},
}
"""The rooms, and what each knows nothing of."""
ORDER = "bondwright.evaluate.order"
RULES_ARE_RUN = "bondwright.conclude.concluding"
REASONING = "bondwright.conclude.reasoning.Reasoning"
MAKES_MEMORY = {
    "bondwright.assembly.parts": "those that the whole service shares: of conclusions, and of whole answers",
    "bondwright.cli.rules.publishing.checking": "one while a pack is checked",
    "bondwright.cli.rules.worked.cases": "one while cases are run",
    "bondwright.proofs.worked.claims": "one while the claims of a pack are judged",
    "bondwright.proofs.worked.noticing": "one for each mistake that claims are tried on",
    "bondwright.proofs.worked.places": "one for each fact of a place that claims are tried without",
    ORDER: "one for an evaluation that is given none",
}
"""The modules that make what remembers, each with its reason."""


def against_the_way(module: str, source: str) -> list[str]:
    """Each import from a room of which the module's own knows nothing."""
    barred = MAY_NOT_IMPORT.get(folder_of(module), set())
    return [f"{line}: {name}" for line, name in imported(source) if name.startswith("bondwright.") and folder_of(name) in barred]


def concluding(modules: Mapping[str, str]) -> set[str]:
    """Dotted name of each function that takes rows through the rules of a pack, by itself or by others that it names."""
    uses = {name: used for module, source in modules.items() for name, used in functions(module, source)}
    found = {name for name, used in uses.items() if ".conclude" in used or any(_runs_rules(one) for one in used)}
    while more := {name for name, used in uses.items() if used & found} - found:
        found |= more
    return found


def functions(module: str, source: str) -> Iterator[tuple[str, set[str]]]:
    """Each function of a module, methods too, with the dotted names that it uses, and `.conclude` for each call of that method."""
    tree = tree_of(source)
    homes = {name.rpartition(".")[2]: name for _, name in imported(source)}
    homes |= {node.name: f"{module}.{node.name}" for node in tree.body if isinstance(node, ast.FunctionDef)}
    classes = [(f"{module}.{node.name}", node.body) for node in tree.body if isinstance(node, ast.ClassDef)]
    for owner, body in [(module, tree.body), *classes]:
        for node in body:
            if isinstance(node, ast.FunctionDef):
                used = {homes.get(one.id, one.id) for one in ast.walk(node) if isinstance(one, ast.Name)}
                yield f"{owner}.{node.name}", used | ({".conclude"} if _concludes(node) else set())


def asks_back(module: str, source: str, known: set[str]) -> list[str]:
    """Each place of a module of `compose` that imports something that concludes, or calls `.conclude(`. `known`: see `concluding`."""
    if folder_of(module) != "compose":
        return []
    faults = [f"{line}: {name}" for line, name in imported(source) if name in known or _runs_rules(name)]
    return [*faults, *(["calls .conclude"] if _concludes(tree_of(source)) else [])]


def made(source: str, names: set[str]) -> list[str]:
    """The dotted names among `names` of what `source` makes."""
    homes = {name.rpartition(".")[2]: name for _, name in imported(source)}
    called = (node.func for node in ast.walk(tree_of(source)) if isinstance(node, ast.Call))
    return sorted({home for func in called if isinstance(func, ast.Name) and (home := homes.get(func.id)) in names and home})


def memories(modules: Mapping[str, str]) -> set[str]:
    """Dotted name of each class that remembers: it gets and puts by key."""
    return {
        f"{module}.{node.name}"
        for module, source in modules.items()
        for node in tree_of(source).body
        if isinstance(node, ast.ClassDef)
        and {"get", "put"} <= {one.name for one in node.body if isinstance(one, ast.FunctionDef)}
        and not any(isinstance(base, ast.Name) and base.id == "Protocol" for base in node.bases)
    }


def _runs_rules(name: str) -> bool:
    return f"{name}.".startswith(f"{RULES_ARE_RUN}.") and not name.endswith(".Acting")


def _concludes(tree: ast.AST) -> bool:
    calls = (node.func for node in ast.walk(tree) if isinstance(node, ast.Call))
    return any(isinstance(func, ast.Attribute) and func.attr == "conclude" for func in calls)


@cache
def known() -> set[str]:
    """Whatever concludes, in the package as it is."""
    return concluding(SOURCES)


def test_the_rooms_are_there() -> None:
    rooms = {*MAY_NOT_IMPORT, *(room for barred in MAY_NOT_IMPORT.values() for room in barred)}

    assert rooms <= FOLDERS
    assert {ORDER, RULES_ARE_RUN, REASONING.rpartition(".")[0], *MAKES_MEMORY} <= SOURCES.keys()


def test_what_stands_between_description_and_answer_is_a_room() -> None:
    between = {folder for folder, row in ROWS.items() if ROWS["installation"] < row <= ROWS["evaluate"]}

    assert between == {*MAY_NOT_IMPORT, "evaluate", "rulebook", "calculators"}


def test_a_room_knows_nothing_of_those_after_it() -> None:
    nowhere(against_the_way)


def test_what_is_answered_asks_nothing_back() -> None:
    nowhere(lambda module, source: asks_back(module, source, known()))


def test_what_concludes_is_found_through_others() -> None:
    told = ("row.judged", "findings.judged_findings", "bonds.judged_bonds", "rooms.judging.judged_rooms", "parts.judging.judged_parts")

    assert {f"bondwright.facts.{name}" for name in told} <= known()
    assert f"{ORDER}.evaluate" in known()
    assert "bondwright.facts.row.row_of" not in known()


def test_one_module_leads_through_all_rooms() -> None:
    leads = [module for module, source in SOURCES.items() if MAY_NOT_IMPORT.keys() <= {folder_of(name) for _, name in imported(source)}]

    assert [module for module in leads if folder_of(module) not in MAY_NOT_IMPORT] == [ORDER]


def test_one_module_makes_the_reasoning() -> None:
    assert [module for module, source in SOURCES.items() if made(source, {REASONING})] == [ORDER]


def test_memories_are_made_where_it_is_listed() -> None:
    remembering = memories(SOURCES)

    assert MAKES_MEMORY.keys() == {module for module, source in SOURCES.items() if made(source, remembering)}


@pytest.mark.parametrize("folder", ["facts", "compose", "metalwork", "installation"])
def test_an_import_against_the_way_is_found(folder: str) -> None:
    assert len(against_the_way("bondwright.conclude.levels", f"from bondwright.{folder}.new import thing")) == 1
    assert len(against_the_way("bondwright.conclude.levels", f"def go():\n    import bondwright.{folder}")) == 1
    assert against_the_way(ORDER, f"from bondwright.{folder}.new import thing") == []


def test_facts_that_know_the_answer_are_found() -> None:
    assert len(against_the_way("bondwright.facts.parts.rows", "from bondwright.compose.sentences import sentence")) == 1


@pytest.mark.parametrize(
    "source",
    [
        "from bondwright.conclude.concluding import through",
        "from bondwright.conclude import concluding",
        "from bondwright.facts.row import judged",
        "from bondwright.facts.findings import judged_findings as ready",
        "def go(reasoning):\n    return reasoning.conclude('part', [])",
    ],
)
def test_an_answer_that_asks_back_is_found(source: str) -> None:
    assert len(asks_back("bondwright.compose.parts.part", source, known())) == 1
    assert asks_back("bondwright.facts.parts.rows", source, known()) == []


def test_what_concludes_under_a_new_name_is_found() -> None:
    planted = {
        "bondwright.facts.new": "from bondwright.facts.row import judged\ndef ready(rows, reasoning):\n    return judged(rows, reasoning)",
        "bondwright.facts.newer": "from bondwright.facts.new import ready\ndef settled(rows):\n    return map(ready, rows)",
    }

    assert {"bondwright.facts.new.ready", "bondwright.facts.newer.settled"} <= concluding(SOURCES | planted)


def test_a_reasoning_or_a_memory_of_its_own_is_found() -> None:
    memory = "class Notes:\n    def get(self, key): ...\n    def put(self, key, value): ..."
    source = "from bondwright.conclude.reasoning import Reasoning\nfrom bondwright.facts.notes import Notes\nReasoning(pack, act, Notes())"

    assert memories({"bondwright.facts.notes": memory}) == {"bondwright.facts.notes.Notes"}
    assert made(source, {REASONING, "bondwright.facts.notes.Notes"}) == [REASONING, "bondwright.facts.notes.Notes"]
