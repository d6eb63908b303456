"""Writes the kept page anew: `uv run python -m tests.cli.keep_golden`. Read the difference before you keep it."""

from pathlib import Path

from tests.cli.command import HOUSE, bondwright

GOLDEN = Path(__file__).parent / "golden" / "house.txt"


def main() -> None:
    """Write the page that the everyday house gives today."""
    GOLDEN.write_bytes(bondwright("evaluate", HOUSE).stdout)


if __name__ == "__main__":
    main()
