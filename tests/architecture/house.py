"""The house as the tests see it: its rows, the source text of every module, and what a guard finds in all of them."""

import ast
from collections.abc import Callable, Iterable, Mapping
from functools import cache, lru_cache
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "service" / "bondwright"

ROWS = {
    "cli": 8.0,
    "api": 7.0,
    "assembly": 6.0,
    "outline": 5.5,
    "engine": 5.0,
    "audit": 5.0,
    "shelf": 5.0,
    "report": 5.0,
    "settings": 5.0,
    "proofs": 5.0,
    "calculations": 4.5,
    "cases": 4.5,
    "evaluate": 4.4,
    "compose": 4.3,
    "plan": 4.25,
    "facts": 4.2,
    "metalwork": 3.5,
    "conclude": 3.3,
    "calculators": 3.0,
    "rulebook": 3.0,
    "access": 2.0,
    "installation": 2.0,
    "collecting": 1.0,
    "errors": 1.0,
    "members": 1.0,
    "said": 1.0,
    "units": 1.0,
}
"""The row of each folder, as in the docstring of the package: imports point from a higher number to a lower one."""

TOUCHES_THE_WORLD = {
    "cli": "reads and writes the files that it is given, and prints",
    "api": "serves: log, spooled files of batches, ids of requests",
    "assembly": "makes the real clock, ids and threads, which others get as arguments",
    "engine": "its calls are watched by a thread, and threads share it",
    "audit": "keeps records in files and databases",
    "shelf": "reads and writes rule files",
    "settings": "reads the environment",
    "proofs": "keeps what was checked in a file, and draws facts by a seed",
}
"""The folders that touch what is outside them, each with its reason. Every other folder is pure, also one that is new or renamed."""


@cache
def sources() -> dict[str, str]:
    """Source text of every module of the package, by dotted name."""
    return {_dotted(path): path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))}


@lru_cache(maxsize=512)
def tree_of(source: str) -> ast.Module:
    """The syntax tree of a module, which is not to be changed: the guards of a file share it."""
    return ast.parse(source)


def nowhere(guard: Callable[[str, str], Iterable[str]], modules: Mapping[str, str] | None = None) -> None:
    """Passes where `guard`, called with the name and the source of each module, finds no fault in any of the package, or of `modules`.

    Raises: AssertionError, with a line for every fault, each with its module.
    """
    looked_at = sources() if modules is None else modules
    found = [f"{module}: {fault}" for module, source in looked_at.items() for fault in guard(module, source)]
    assert not found, "\n".join([f"{len(found)} faults", *found])


def folder_of(module: str) -> str:
    """The folder under the package that a module belongs to; empty for the package itself."""
    return module.removeprefix("bondwright").lstrip(".").partition(".")[0]


def _dotted(path: Path) -> str:
    return ".".join(("bondwright", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")


FOLDERS = frozenset(folder_of(module) for module in sources()) - {""}
"""The folders and lone modules of the package, as they are."""
