"""The table of settings of the page for those who run it is complete and right, and a wrong value is told at the start."""

import re
from argparse import ArgumentParser, Namespace
from inspect import getsource
from pathlib import Path

import pytest

from bondwright import settings
from bondwright.cli import main
from bondwright.cli.serve import add_serve
from bondwright.errors import WrongSetting
from bondwright.settings import read_settings

PAGE = (Path(__file__).parents[2] / "service" / "README.md").read_text(encoding="utf-8")

TOLD = dict(re.findall(r"^\| `([A-Z_]{4,}|--[a-z-]+)[^`|]*` \| ([^|]*) \|", PAGE, re.MULTILINE))
"""Each variable and each option of `serve` in the table, with its default as it is written there."""

VARIABLES = sorted(name for name in TOLD if name.startswith("BONDWRIGHT_"))
SECONDS = [name for name in VARIABLES if name.endswith("_S")]


def written(default: str) -> str:
    """What would be set to get that default: nothing, if it is told in words."""
    return default.strip("`") if default.startswith("`") else ""


def unasked() -> Namespace:
    """What `bondwright serve` goes by without any option."""
    parser = ArgumentParser()
    add_serve(parser)
    return parser.parse_args([])


def test_the_table_names_every_variable_that_is_read() -> None:
    assert sorted(set(re.findall(r"BONDWRIGHT_[A-Z_]+", getsource(settings)))) == VARIABLES


@pytest.mark.parametrize("name", VARIABLES)
def test_setting_a_variable_to_its_default_changes_nothing(name: str) -> None:
    assert read_settings({name: written(TOLD[name])}) == read_settings({})


@pytest.mark.parametrize("name", VARIABLES)
def test_setting_a_variable_to_something_else_changes_something(name: str) -> None:
    other = {"BONDWRIGHT_PRICES": "base=7", "BONDWRIGHT_ORIGINS": "https://desk.example.com"}

    assert read_settings({name: other.get(name, "7")}) != read_settings({})


def test_the_table_names_every_option_of_serve(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["serve", "--help"])

    options = set(re.findall(r"--[a-z-]+", capsys.readouterr().out)) - {"--help"}
    assert options == {name for name in TOLD if name.startswith("--")}


def test_the_table_tells_the_default_of_every_option() -> None:
    by_itself = vars(unasked())

    told = {name: written(default) for name, default in TOLD.items() if name.startswith("--")}
    assert told == {name: str(by_itself[name.strip("-").replace("-", "_")] or "") for name in told}


@pytest.mark.parametrize("name", SECONDS)
@pytest.mark.parametrize("value", ["ten", "-1", "601", "nan", "inf", "1,5", "5s"])
def test_a_number_of_seconds_that_is_none_is_refused_by_the_name_of_its_variable(name: str, value: str) -> None:
    with pytest.raises(WrongSetting, match=f"^{name}: `{re.escape(value)}` is no number of seconds from 0 to 600; leave it out for "):
        read_settings({name: value})


@pytest.mark.parametrize("command", [["serve", "--port", "0"], ["database", "show"], ["replay", "--all"]])
def test_a_wrong_setting_is_a_wrong_call(command: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("BONDWRIGHT_FINISH_S", "soon")

    status = main(command)

    told = capsys.readouterr()
    assert (status, told.out) == (2, "")
    assert told.err == "bondwright: BONDWRIGHT_FINISH_S: `soon` is no number of seconds from 0 to 600; leave it out for 10\n"


def test_a_folder_at_the_home_of_nobody_is_refused() -> None:
    with pytest.raises(WrongSetting, match=r"^BONDWRIGHT_DATA: no home folder is known for `~nobody-at-all/data`; write the path in full$"):
        read_settings({"BONDWRIGHT_DATA": "~nobody-at-all/data"})
