"""Writes the kept pages anew: `uv run python -m tests.cli.keep_golden`. Read the difference before you keep them."""

import json
from collections.abc import Mapping
from pathlib import Path

from tests.cli.command import HOUSE, bondwright
from tests.pages.installations import twenty

FOLDER = Path(__file__).parent / "golden"
GOLDEN = FOLDER / "house.txt"
INTERNATIONAL = "window-frames-fixed-to-steelwork-are-covered-by-its-bond-by-the-international-rules"


def kept() -> Mapping[Path, bytes]:
    """What is kept, by its file: of the everyday house the page, the whole answer, and all behind its bathroom; an international page."""
    return {
        GOLDEN: bondwright("evaluate", HOUSE).stdout,
        FOLDER / "house-whole.txt": bondwright("evaluate", HOUSE, "--full").stdout,
        FOLDER / "house-bathroom.txt": bondwright("evaluate", HOUSE, "--why", "bathroom").stdout,
        FOLDER / "international.txt": bondwright("evaluate", "-", stdin=json.dumps(json.loads(twenty()[INTERNATIONAL])).encode()).stdout,
    }


def main() -> None:
    """Write what is given today."""
    for path, page in kept().items():
        path.write_bytes(page)


if __name__ == "__main__":
    main()
