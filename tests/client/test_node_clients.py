"""Two linters find no error in the document, and clients of two generators in TypeScript compile strictly and judge a house.

Everything at default settings. `bash .ci/npm` installs what it takes; where that was not done the tests say so and are skipped.
"""

import hashlib
import json
import os
import shutil
import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.client.conftest import DOCUMENT
from tests.live_service import LiveService

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).with_name("node")
PROGRAMS = {"openapi-typescript and openapi-fetch": "with_fetch", "@hey-api/openapi-ts": "with_sdk"}


def cached_packages() -> Path:
    """Where `.ci/npm` installs the packages, whether it was run or not."""
    day = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["uv"]["exclude-newer"]
    digest = hashlib.sha256((HERE / "package.json").read_bytes() + f"{day}\n".encode()).hexdigest()
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "bondwright" / f"node-{digest[:16]}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A throw-away folder with the document, the programs, and the packages."""
    if not cached_packages().is_dir():
        pytest.skip("node and the packages of tests/client/node are not installed: bash .ci/npm does so, or says what it needs")
    work = tmp_path_factory.mktemp("node")
    for file in (DOCUMENT, *HERE.iterdir()):
        shutil.copy(file, work)
    (work / "redocly-ignore.yaml").rename(work / ".redocly.lint-ignore.yaml")
    (work / "node_modules").symlink_to(cached_packages() / "node_modules")
    return work


def run(folder: Path, *command: str, **environment: str) -> str:
    """What a program prints in `folder`, whose packages are on its path. Raises: AssertionError, if it ends with a fault."""
    told = {"PATH": f"{folder / 'node_modules' / '.bin'}{os.pathsep}{os.environ['PATH']}", "REDOCLY_TELEMETRY": "off", "NO_COLOR": "1"}
    done = subprocess.run(
        command, cwd=folder, env=os.environ | told | environment, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, f"{' '.join(command)}\n{done.stdout}{done.stderr}"
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def compiled(folder: Path) -> Path:
    """Where the compiled programs are; each over what its generator made of the document."""
    run(folder, "openapi-typescript", "openapi.json", "--output", "fetch/schema.d.ts")
    run(folder, "openapi-ts", "--input", "openapi.json", "--output", "sdk")
    run(folder, "tsc", "--project", ".")
    return folder / "compiled"


@pytest.fixture(scope="module", params=list(PROGRAMS.values()), ids=list(PROGRAMS))
def said(request: pytest.FixtureRequest, folder: Path, compiled: Path, service: LiveService) -> Any:
    """What a program says of the house that it sent."""
    program = str(compiled / f"{request.param}.js")
    return json.loads(run(folder, "node", program, BONDWRIGHT=service.address, BONDWRIGHT_KEY=service.key))


def test_redocly_finds_nothing_but_what_is_argued(folder: Path) -> None:
    told = run(folder, "redocly", "lint", "openapi.json", "--format", "json")

    assert json.loads(told[told.index("{") : told.rindex("}") + 1])["totals"] == {"errors": 0, "warnings": 0, "ignored": 2}


def test_spectral_finds_nothing_but_what_is_argued(folder: Path) -> None:
    told = run(folder, "spectral", "lint", "--ruleset", "spectral.yaml", "--fail-severity", "hint", "openapi.json")

    assert "No results with a severity of 'hint' or higher found!" in told


def test_a_house_is_judged(said: Any) -> None:
    entering = {name: mark for name, mark, _ in said["parts"] if "where it comes in" in name}

    assert entering == {
        "the water service where it comes in (plastic)": "leave",
        "the gas service where it comes in (steel)": "measure_first",
    }


def test_each_verdict_on_a_part_leads_to_what_its_rules_say(said: Any) -> None:
    assert len(said["why"]) == len(said["parts"])
    assert all(words.endswith(".") for part in said["why"] for verdict in part for words in verdict)
    assert all(verdict for part in said["why"] for verdict in part)


def test_its_outline_tells_a_program_what_to_do(said: Any) -> None:
    assert said["instructions"] == [["services-0/entering", "leave"], ["services-0/inside", "leave"], ["services-1/entering", "look"]]


def test_an_evaluation_reads_back_the_same(said: Any) -> None:
    assert said["same"] is True


def test_a_refusal_tells_the_place_of_the_fault(said: Any) -> None:
    assert said["faults"] == ["/supply/neutral/size"]
