"""The house as the tests see it: its rows, and the source text of every module."""

from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "service" / "bondwright"

ROWS = {
    "cli": 8.0,
    "api": 7.0,
    "assembly": 6.0,
    "engine": 5.0,
    "audit": 5.0,
    "shelf": 5.0,
    "report": 5.0,
    "settings": 5.0,
    "proofs": 5.0,
    "calculations": 4.5,
    "cases": 4.5,
    "evaluate": 4.0,
    "metalwork": 3.5,
    "calculators": 3.0,
    "rulebook": 3.0,
    "access": 2.0,
    "installation": 2.0,
    "errors": 1.0,
    "units": 1.0,
}
"""The row of each folder, as in the docstring of the package: imports point from a higher number to a lower one."""

PURE = frozenset(folder for folder, row in ROWS.items() if row < 5)
"""The folders that touch nothing outside themselves: rows 1 to 4."""


def sources() -> dict[str, str]:
    """Source text of every module of the package, by dotted name."""
    return {_dotted(path): path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))}


def folder_of(module: str) -> str:
    """The folder under the package that a module belongs to; empty for the package itself."""
    return module.removeprefix("bondwright").lstrip(".").partition(".")[0]


def _dotted(path: Path) -> str:
    return ".".join(("bondwright", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
