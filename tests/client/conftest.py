"""A client as a vendor gets it: generated from the document by a public generator, used as it comes, against a live service."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest
from tests.audit.form_1.records import HERON, record_file
from tests.live_service import LiveService, live_service

DOCUMENT = Path(__file__).parents[2] / "openapi" / "openapi.json"
TOOLS = Path(sys.executable).parent
PACKAGE = "bondwright_client"
THAT_IT_KNOWS_NO_LINES = "Unsupported content type application/jsonl"
"""Its only warning; it sends batches as bytes, which the service takes too."""


@pytest.fixture(scope="session")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that holds the generated package, made with default settings."""
    folder = tmp_path_factory.mktemp("generated")
    command: list[str | Path] = [
        TOOLS / "openapi-python-client",
        "generate",
        "--path",
        DOCUMENT,
        "--output-path",
        folder / PACKAGE,
        "--meta",
        "none",
    ]
    # The generator tidies what it wrote with ruff, which it looks for on the path.
    environment = os.environ | {"PATH": f"{TOOLS}{os.pathsep}{os.environ['PATH']}"}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=120)
    warnings = re.findall(r"^WARNING .*\n\n(.*)$", done.stdout + done.stderr, re.MULTILINE)
    assert (done.returncode, warnings) == (0, [THAT_IT_KNOWS_NO_LINES]), done.stdout + done.stderr
    return folder


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveService]:
    """A live service that begins with records of form 1."""
    folder = tmp_path_factory.mktemp("records")
    record_file(folder)
    with live_service(folder, HERON) as started:
        yield started


@pytest.fixture(scope="session")
def vendor(generated: Path) -> ModuleType:
    """The vendor's own program, over the generated package."""
    sys.path.insert(0, str(generated))
    return import_module("tests.client.vendor")
