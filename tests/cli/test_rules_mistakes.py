"""`bondwright rules mistakes`: which mistakes in the rules no worked case would notice, and where to look."""

import json
from pathlib import Path

import pytest

from bondwright.cli.command_line import main
from bondwright.shelf.packs import rules_folder

EDITION = "bs7671/2018-a4"
PARTS = ("--of", "bond-below-least-size", "--of", "keep_and_note")


@pytest.fixture(autouse=True)
def _apart(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What became of a mistake is kept between these tests, and not in the data folder of this machine."""
    monkeypatch.setenv("BONDWRIGHT_DATA", str(data))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rules folder by links with every fifth worked case: what is told of a mistake is looked at here, not whether cases notice it."""
    to = tmp_path_factory.mktemp("some") / "rules"
    _copy_without_cases(to)
    for family in ("bs7671", "iec60364"):
        (to / family / "cases").mkdir(exist_ok=True)
        for path in sorted((rules_folder() / family / "cases").glob("*.json"))[::5]:
            (to / family / "cases" / path.name).symlink_to(path)
    return to


def test_survivors_are_told_with_the_line_to_look_at(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "mistakes", EDITION, *PARTS, "--rules", str(folder)])

    lines = capsys.readouterr().out.splitlines()
    assert status == (1 if lines[:-1] else 0)
    assert all(line.startswith("WANTING ") and ": no worked case notices that " in line for line in lines[:-1])
    assert f"{len(lines) - 1} survive" in lines[-1]


def test_numbers_add_up(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["rules", "mistakes", EDITION, *PARTS, "--format", "json", "--rules", str(folder)])

    told = json.loads(capsys.readouterr().out)
    fates = [told[fate] for fate in ("noticed", "refused", "asked_for_a_reason", "without_effect")]
    assert told["made"] == sum(fates) + len(told["survivors"])
    assert min(fates) > 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            [EDITION, "--of", "nothing-of-that-name"],
            "has no rule, table, value, fact, date or act of the joined table called `nothing-of-that-name`",
        ),
        (["bs7671-2018-a4-r0"], "bs7671-2018-a4-r0"),
    ],
)
def test_a_wrong_call_says_why(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "mistakes", *arguments]) == 2
    assert words in capsys.readouterr().err


def test_a_case_that_does_not_hold_gives_no_score(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (path, *_) = sorted((rules_folder() / "bs7671" / "cases").glob("*.json"))
    case = json.loads(path.read_bytes())
    copied = tmp_path / "copied"
    _copy_without_cases(copied)
    (copied / "bs7671" / "cases").mkdir()
    wrong = {**case, "expect": {"main_bond_size": {"highest": 1234}}}
    (copied / "bs7671" / "cases" / path.name).write_text(json.dumps(wrong), encoding="utf-8")

    assert main(["rules", "mistakes", EDITION, "--rules", str(copied)]) == 2
    assert "the worked cases do not hold, so that nothing can be told by them" in capsys.readouterr().err


def _copy_without_cases(to: Path) -> None:
    """The rules folder in `to` by links, but for the worked cases."""
    for path in rules_folder().rglob("*"):
        if path.is_file() and "cases" not in path.relative_to(rules_folder()).parts:
            target = to / path.relative_to(rules_folder())
            target.parent.mkdir(parents=True, exist_ok=True)
            target.symlink_to(path)
