"""What the suite takes: the files that it takes first and leaves out are there, and what it leaves out is taken by `.ci/run`."""

from pathlib import Path

import pytest
from tests.taken import LONGER, LONGEST, TESTS, is_left_out

LEFT_OUT = [name for names in LONGER.values() for name in names]


def test_every_file_that_is_named_is_there() -> None:
    assert [name for name in (*LONGEST, *LEFT_OUT) if not (TESTS / name).is_file()] == []
    assert len(set(LONGEST)) == len(LONGEST)
    assert len(set(LEFT_OUT)) == len(LEFT_OUT)


def test_a_run_takes_either_what_is_left_out_or_all_else(pytestconfig: pytest.Config) -> None:
    files = [Path(__file__), *(TESTS / name for name in LEFT_OUT)]

    mine, *others = (is_left_out(file, pytestconfig) for file in files)

    assert set(others) == {not mine}


def test_folders_and_what_is_no_file_of_tests_are_never_left_out(pytestconfig: pytest.Config) -> None:
    assert not is_left_out(TESTS, pytestconfig)
    assert not is_left_out(TESTS / "longer" / "answers.py", pytestconfig)


def test_what_the_suite_leaves_out_is_run_too() -> None:
    steps = (TESTS.parent / ".ci" / "run").read_text(encoding="utf-8").splitlines()

    assert steps.index("step uv run pytest") < steps.index("step uv run pytest --longer")
