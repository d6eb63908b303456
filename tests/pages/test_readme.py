"""What the README shows is what happens."""

import re
from pathlib import Path

import pytest
from tests.cli.command import bondwright

from bondwright.cli import main

ROOT = Path(__file__).parents[2]
README, COMMANDS = ((ROOT / page).read_text(encoding="utf-8") for page in ("README.md", "service/README.md"))


def shown(language: str) -> str:
    """The one block of that language in the README."""
    (block,) = re.findall(rf"^```{language}\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
    return str(block)


def test_the_example_gives_the_page_that_the_readme_shows() -> None:
    told = bondwright("evaluate", "-", stdin=shown("json").encode())

    assert shown("text") in told.stdout.decode()


ASKED = ("list", "show", "history", "diff", "cases", "check", "consolidate", "amend", "publish")


@pytest.mark.parametrize(
    "command", ["demo", "evaluate", "replay", "export", "import", "impact", "serve", *(f"rules {name}" for name in ASKED)]
)
def test_the_page_of_commands_names_every_option(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([*command.split(), "--help"])

    options = set(re.findall(r"--[a-z-]+", capsys.readouterr().out)) - {"--help", "--rules"}
    (line,) = re.findall(rf"^\| `bondwright {command}\b.*", COMMANDS, re.MULTILINE)
    assert set(re.findall(r"--[a-z-]+", line)) == options
