"""The wheel holds the package with its rules, and nothing else.

It is built with no network: `uv run`, which started these tests, has just built the same project and keeps the build tools.
"""

import subprocess
import sys
from email import message_from_bytes
from email.message import Message
from pathlib import Path
from zipfile import ZipFile

import pytest
from tests.packaging.project import ROOT, output_of

from bondwright.shelf.packs import rules_folder


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    output_of("uv", "build", "--wheel", "--offline", "--out-dir", str(folder))
    (built,) = folder.glob("*.whl")
    return ZipFile(built)


@pytest.fixture
def metadata(wheel: ZipFile) -> Message:
    (name,) = (name for name in wheel.namelist() if name.endswith(".dist-info/METADATA"))
    return message_from_bytes(wheel.read(name))


def test_the_wheel_has_one_top_level_name(wheel: ZipFile) -> None:
    tops = {name.partition("/")[0] for name in wheel.namelist()}

    assert {"bondwright"} == {top for top in tops if not top.endswith(".dist-info")}
    assert len(tops) == 2


def test_the_wheel_holds_the_rules_as_they_stand_in_the_checkout(wheel: ZipFile) -> None:
    inside = {name.removeprefix("bondwright/_rules/") for name in wheel.namelist() if name.startswith("bondwright/_rules/")}
    beside = {path.relative_to(ROOT / "rules").as_posix() for path in (ROOT / "rules").rglob("*") if path.is_file()}

    assert beside == inside


@pytest.mark.parametrize(
    "name",
    [
        "vocabulary.yaml",
        "outcomes.yaml",
        "materials.yaml",
        "sources.yaml",
        "published.lock",
        "withdrawn.yaml",
        "undeclared.yaml",
        "undeclared-choices.yaml",
        "undeclared-names.yaml",
        "undeclared-instructions.yaml",
        "undeclared-page.yaml",
    ],
)
def test_the_wheel_holds_what_every_pack_needs(name: str, wheel: ZipFile) -> None:
    assert f"bondwright/_rules/{name}" in wheel.namelist()


def test_the_wheel_holds_published_packs(wheel: ZipFile) -> None:
    assert any(Path(name).match("bondwright/_rules/published/*.yaml") for name in wheel.namelist())


def test_the_wheel_is_marked_as_typed(wheel: ZipFile) -> None:
    assert "bondwright/py.typed" in wheel.namelist()


def test_the_wheel_holds_no_tests(wheel: ZipFile) -> None:
    assert [name for name in wheel.namelist() if Path(name).name.startswith("test_") or "tests" in Path(name).parts] == []


def test_the_wheel_states_and_carries_its_licence(wheel: ZipFile, metadata: Message) -> None:
    (carried,) = (name for name in wheel.namelist() if name.endswith("/licenses/LICENSE"))

    assert metadata["License-Expression"] == "Apache-2.0"
    assert (ROOT / "LICENSE").read_bytes() == wheel.read(carried)


def test_the_checkout_reads_the_rules_that_its_editors_see() -> None:
    assert rules_folder() == ROOT / "rules"


def test_the_installed_wheel_reads_the_rules_inside_it(wheel: ZipFile, tmp_path: Path) -> None:
    wheel.extractall(tmp_path)
    ask = "import sys; sys.path.insert(0, sys.argv[1]); from bondwright.shelf.packs import rules_folder; print(rules_folder())"

    told = subprocess.run([sys.executable, "-c", ask, str(tmp_path)], capture_output=True, text=True, check=True, timeout=300)

    assert tmp_path / "bondwright" / "_rules" == Path(told.stdout.strip())
