"""Where the rule files are."""

from pathlib import Path


def rules_folder() -> Path:
    """The folder of rule files: inside the installed package, or at the top of the checkout."""
    package = Path(__file__).parent.parent
    inside = package / "_rules"
    return inside if inside.is_dir() else package.parent.parent / "rules"
