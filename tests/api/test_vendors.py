"""The page for vendors: its requests, run one after the other against a live service, print what the page says that they print."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from tests.live_service import live_service

from bondwright.rulebook.declared.acts import INSTRUCTIONS

PAGE = (Path(__file__).parents[2] / "openapi" / "VENDORS.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(bash|text)\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
BETWEEN = "=== the next"


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """What each block that is run prints, in the order of the page."""
    if shutil.which("curl") is None:
        pytest.skip("curl is not on PATH")
    folder = tmp_path_factory.mktemp("vendor")
    program = f"\necho '{BETWEEN}'\n".join(content for language, content in BLOCKS if language == "bash")
    with live_service(tmp_path_factory.mktemp("records")) as service:
        environment = os.environ | {"BONDWRIGHT": service.address, "BONDWRIGHT_KEY": service.key}
        command = ["bash", "-euo", "pipefail", "-c", program]
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    return [one.strip() for one in done.stdout.split(f"{BETWEEN}\n")]


def test_every_block_prints_what_the_page_says(printed: list[str]) -> None:
    languages = [language for language, _ in BLOCKS]
    said = [content.strip() for language, content in BLOCKS if language == "text"]

    assert languages == ["bash", *["bash", "text"] * len(said)]
    assert printed == ["", *said]


def test_there_are_ten_requests() -> None:
    assert re.findall(r"^\*\*(\d+)\. ", PAGE, re.MULTILINE) == [str(number) for number in range(1, 11)]


def test_every_instruction_has_something_that_a_program_does_with_it() -> None:
    rows = re.findall(r"^\| (`.*?) \|", PAGE, re.MULTILINE)

    assert sorted(re.findall(r"`(\w+)`", " ".join(rows))) == sorted(["instruction", *INSTRUCTIONS])
