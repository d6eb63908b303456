"""`bondwright evaluate`: one evaluation, or each fault with its place."""

import subprocess
from contextlib import closing
from pathlib import Path

import orjson
import pytest
from tests.cli.command import HOUSE, bondwright, described, started_afresh
from tests.cli.keep_golden import GOLDEN, kept
from tests.declared import declared

from bondwright.assembly import build
from bondwright.cli import main
from bondwright.outline.making import outline_bytes
from bondwright.settings import Settings


def test_a_file_gives_the_page_that_was_kept() -> None:
    told = started_afresh("evaluate", HOUSE)

    assert (told.returncode, told.stderr) == (0, b"")
    assert GOLDEN.read_bytes() == told.stdout, "if the change is meant: uv run python -m tests.cli.keep_golden"


def test_every_page_that_is_kept_is_given_still() -> None:
    assert [path.name for path, page in kept().items() if path.read_bytes() != page] == [], "as above"


def test_a_name_that_nothing_has_is_told_with_the_names_that_there_are() -> None:
    told = bondwright("evaluate", HOUSE, "--why", "gsa")

    assert (told.returncode, told.stdout) == (2, b"")
    assert b"nothing is called `gsa`; name one of: water, water at entry, water inside, gas, " in told.stderr
    assert told.stderr.rstrip().endswith(b"bathroom, supply")


@pytest.mark.parametrize("asked", [("--why", "gas"), ("--full",)])
def test_more_of_the_page_is_no_json(asked: tuple[str, ...]) -> None:
    told = bondwright("evaluate", HOUSE, "--format", "json", *asked)

    assert (told.returncode, told.stdout) == (2, b"")
    assert b"leave out --format json" in told.stderr


def test_standard_input_gives_the_same_as_a_file() -> None:
    from_input = bondwright("evaluate", "-", stdin=HOUSE.read_bytes())

    assert (0, GOLDEN.read_bytes()) == (from_input.returncode, from_input.stdout)


@pytest.fixture(scope="module")
def told_in_json(tmp_path_factory: pytest.TempPathFactory) -> tuple[subprocess.CompletedProcess[bytes], Path]:
    """What the command printed of the house as JSON, and the data folder that it was given."""
    data = tmp_path_factory.mktemp("home") / "data"
    return bondwright("evaluate", HOUSE, "--format", "json", BONDWRIGHT_DATA=str(data)), data


def test_json_is_the_bytes_of_the_evaluation(tmp_path: Path, told_in_json: tuple[subprocess.CompletedProcess[bytes], Path]) -> None:
    with closing(build(Settings(tmp_path))) as service:
        body = service.evaluate(HOUSE.read_bytes()).body

    told, _ = told_in_json

    assert told.stdout == body


def test_json_fits_the_shape_of_an_evaluation(told_in_json: tuple[subprocess.CompletedProcess[bytes], Path]) -> None:
    told, _ = told_in_json

    answer = orjson.loads(told.stdout)
    assert list(declared("Evaluation").iter_errors(answer)) == []
    assert answer["reference"] == "Sandpiper Row 3"


def test_the_outline_is_that_of_the_bytes(tmp_path: Path) -> None:
    raw = HOUSE.read_bytes()
    with closing(build(Settings(tmp_path))) as service:
        evaluated = service.evaluate(raw)

    told = bondwright("evaluate", HOUSE, "--format", "outline")

    assert (told.returncode, told.stderr) == (0, b"")
    assert told.stdout == outline_bytes(evaluated.body, raw, evaluated.pack)


def test_nothing_is_recorded(told_in_json: tuple[subprocess.CompletedProcess[bytes], Path]) -> None:
    told, data = told_in_json

    assert told.returncode == 0
    assert data.parent.exists() and not data.exists()


@pytest.mark.parametrize(
    ("parts", "fault"),
    [
        ({"survice": []}, "/survice: unknown key; did you mean `services`?"),
        ({"services": [{}]}, "/services/0/kind: needed: write one of "),
        ({"supply": {"neutral": {"size": -1}}}, "/supply/neutral/size: write "),
        ({"supply": {"phases": None}}, "/supply/phases: null says nothing"),
    ],
)
def test_a_fault_is_told_with_its_place(parts: dict[str, object], fault: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = described(tmp_path, **parts)

    status = main(["evaluate", str(path)])

    told = capsys.readouterr()
    assert (status, told.out) == (2, "")
    assert f"{path}: {fault}" in told.err


def test_each_fault_has_a_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = described(tmp_path, survice=[], supply={"phases": 3})

    main(["evaluate", str(path)])

    assert [f"{path}: /supply/phases", f"{path}: /survice"] == [line.rpartition(": ")[0] for line in capsys.readouterr().err.splitlines()]


def test_a_contradiction_is_told_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rail = {"id": "rail", "kind": "towel_rail"}
    path = described(tmp_path, items=[rail, rail])

    status = main(["evaluate", str(path)])

    assert status == 2
    assert capsys.readouterr().err.startswith(f"{path}: /items/1/id: /items/0 has this id")


def test_what_is_not_json_is_told_with_line_and_column() -> None:
    told = bondwright("evaluate", "-", stdin=b'{"work": NaN}')

    assert (told.returncode, told.stdout) == (2, b"")
    assert told.stderr.startswith(b"standard input: line 1, column 10: ")


@pytest.mark.parametrize("name", ["missing.json", ".", "no\0name"])
def test_a_file_that_cannot_be_read_is_told_with_the_way_out(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / name)

    status = main(["evaluate", path])

    assert status == 2
    told = capsys.readouterr().err
    assert told.startswith(f"{path}: cannot be read (")
    assert told.endswith("name a file with a description in JSON, or - for standard input\n")


def test_an_evaluation_in_json_names_its_pack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["evaluate", str(described(tmp_path)), "--format", "json"])

    assert orjson.loads(capsys.readouterr().out)["pack"]["pack_id"].startswith("bs7671-")
