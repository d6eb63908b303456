"""`bondwright demo`: the shipped examples through the whole service."""

import json
from contextlib import redirect_stdout
from io import BytesIO, TextIOWrapper
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from tests.cli.command import started_afresh
from tests.declared import declared

from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.cli import main
from bondwright.cli.demo import CASES, shipped_cases
from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import rules_folder


@pytest.fixture(scope="module")
def told() -> CompletedProcess[bytes]:
    """The demo, once."""
    return started_afresh("demo")


def test_the_demo_ends_well(told: CompletedProcess[bytes]) -> None:
    assert (told.returncode, told.stderr) == (0, b"")


def test_the_demo_shows_every_shipped_example(told: CompletedProcess[bytes]) -> None:
    shown = "".join(told.stdout.decode().split())  # a title that is broken at a hyphen has no space there

    assert [case.name for case in shipped_cases(rules_folder() / CASES) if f".{''.join(case.claim.split())}====" not in shown] == []


def test_the_demo_closes_with_what_it_counted(told: CompletedProcess[bytes]) -> None:
    count = len(list((rules_folder() / CASES).glob("*.json")))

    summary = told.stdout.decode().splitlines()[-1]

    assert summary.startswith(f"{count} examples with ")
    assert summary.endswith("; every record was read back the same.")


@pytest.fixture(scope="module")
def in_json(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, bytes, Path]:
    """Status and output of the demo in JSON, once, and the folder that it was given."""
    data = tmp_path_factory.mktemp("given") / "data"
    with redirect_stdout(TextIOWrapper(BytesIO(), write_through=True)) as out:
        status = main(["demo", "--format", "json", "--data", str(data)])
    return status, out.buffer.getvalue(), data


def test_the_demo_in_json_is_made_of_recorded_evaluations(in_json: tuple[int, bytes, Path]) -> None:
    status, told, _ = in_json

    examples = json.loads(told)["examples"]
    assert (status, examples != []) == (0, True)
    assert all(one["read_back_the_same"] for one in examples)
    for one in examples:
        assert list(declared("RecordedEvaluation").iter_errors(one["answer"])) == []


def test_the_demo_records_in_the_folder_it_is_given(in_json: tuple[int, bytes, Path]) -> None:
    _, told, data = in_json

    store = SqliteRecordStore(data / "record.sqlite")
    kept = [record.evaluation_id for record in store.page("local", None, 1000)]
    store.close()
    assert [one["answer"]["evaluation_id"] for one in json.loads(told)["examples"]] == kept


def test_a_record_that_cannot_be_kept_is_told_without_a_traceback(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").write_text("no folder")

    status = main(["demo", "--data", str(tmp_path / "taken")])

    assert status == 1
    assert capsys.readouterr().err.startswith("bondwright: ")


def test_a_folder_without_examples_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnreadableRules, match="no example stands here"):
        shipped_cases(tmp_path)


@pytest.mark.parametrize("content", ["{", "[]", '{"claim": "no installation"}'])
def test_a_file_that_is_no_example_is_named(content: str, tmp_path: Path) -> None:
    (tmp_path / "broken.json").write_text(content)

    with pytest.raises(UnreadableRules, match=f"^{CASES}/broken.json:1:1: not an example"):
        shipped_cases(tmp_path)
