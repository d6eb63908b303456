"""The first requests of the page for callers, run as they stand there against a live service."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.live_service import LiveService, live_service

ROOT = Path(__file__).parents[2]
SECTION = (ROOT / "openapi" / "README.md").read_text(encoding="utf-8").partition("\n## First requests\n")[2].partition("\n## ")[0]


def block(language: str) -> str:
    """The one block of the section that is in this language."""
    (content,) = re.findall(rf"^```{language}\n(.*?)^```$", SECTION, re.DOTALL | re.MULTILINE)
    return str(content)


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveService]:
    """A live service with records of its own."""
    with live_service(tmp_path_factory.mktemp("records")) as started:
        yield started


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder that holds the examples where the page looks for them."""
    shutil.copytree(ROOT / "openapi" / "examples", tmp_path / "openapi" / "examples")
    return tmp_path


def printed_by(command: list[str], folder: Path, service: LiveService) -> str:
    """What a program of the page prints in `folder`."""
    environment = os.environ | {"BONDWRIGHT": service.address, "BONDWRIGHT_KEY": service.key}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture
def told_by_curl(folder: Path, service: LiveService) -> str:
    """What the block of curl's requests prints; it leaves its answers in `folder`."""
    if shutil.which("curl") is None:
        pytest.skip("curl is not on PATH")
    return printed_by(["bash", "-euo", "pipefail", "-c", block("bash")], folder, service)


@pytest.fixture
def told_by_python(folder: Path, service: LiveService) -> list[str]:
    """The lines that the Python program prints."""
    return printed_by([sys.executable, "-W", "error", "-c", block("python")], folder, service).splitlines()


def test_the_requests_with_curl_lead_from_a_house_to_its_replay(told_by_curl: str, folder: Path) -> None:
    answered, found, record, replay = (
        json.loads((folder / f"{name}.json").read_bytes()) for name in ("answer", "found", "record", "replay")
    )

    assert told_by_curl.endswith("refused, curl ended with 22\n")
    assert {found["evaluations"][-1]["evaluation_id"], record["evaluation_id"], replay["evaluation_id"]} == {answered["evaluation_id"]}
    assert replay["same_bytes"] == "same"


def test_the_problem_in_the_readme_is_the_one_that_curl_gets(told_by_curl: str) -> None:
    problem, shown = json.loads(told_by_curl.partition("refused, curl")[0]), json.loads(block("json"))
    assert problem == shown | {"request_id": problem["request_id"]}


def test_the_program_in_python_says_what_it_did(told_by_python: list[str]) -> None:
    assert told_by_python[-5:-1] == ["the same again: True", "found: True", "sent then: True", "worked out the same: True"]


def test_the_program_in_python_names_the_place_of_the_fault(told_by_python: list[str]) -> None:
    assert told_by_python[-1].startswith("422 /services/0/hidden ")


def test_the_program_in_python_prints_what_to_do_with_each_part(told_by_python: list[str]) -> None:
    assert [line for line in told_by_python[:-5] if " -> " not in line] == []
    assert len(told_by_python) > 5
