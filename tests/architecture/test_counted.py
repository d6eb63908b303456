"""A whole run that examined too little has failed; a part of the suite has not."""

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

TESTS = Path(__file__).parents[1]
ONE_TEST = (
    "from hypothesis import given, strategies as st\n\n\n@given(st.integers())\ndef test_numbers(number):\n    assert number == number\n"
)


@pytest.fixture
def suite(pytester: pytest.Pytester) -> pytest.Pytester:
    """A suite of one generated test that counts as ours does."""
    pytester.makefile(".ini", pytest="[pytest]\ntestpaths = tests\npythonpath = .\naddopts = -p no:xdist -p no:cacheprovider\n")
    folder = pytester.mkdir("tests")
    counted = (TESTS / "counted.py").read_text(encoding="utf-8")
    fewest = counted.partition("FEWEST: Mapping[str, int] = ")[2].partition("\n")[0]
    (folder / "counted.py").write_text(counted.replace(fewest, '{"tests": 1, "examples of hypothesis": 100}'), encoding="utf-8")
    (folder / "conftest.py").write_text(
        "import pytest\nfrom tests.counted import Counted, note_examples\n\n\n"
        "def pytest_configure(config):\n    config.pluginmanager.register(Counted(config))\n\n\n"
        "@pytest.hookimpl(wrapper=True)\ndef pytest_runtest_makereport(item):\n"
        "    report = yield\n    note_examples(item, report)\n    return report\n",
        encoding="utf-8",
    )
    return pytester


def test_a_whole_run_that_examined_enough_passes(suite: pytest.Pytester) -> None:
    (suite.path / "tests" / "test_one.py").write_text(ONE_TEST, encoding="utf-8")

    done = suite.runpytest_subprocess()

    done.stdout.fnmatch_lines(["examined: 1 tests, 100 examples of hypothesis"])
    assert done.ret == pytest.ExitCode.OK


def test_a_whole_run_that_examined_too_few_examples_fails_and_says_so(suite: pytest.Pytester) -> None:
    fewer = ONE_TEST.replace("@given", "@settings(max_examples=7)\n@given").replace("import given", "import given, settings")
    (suite.path / "tests" / "test_one.py").write_text(fewer, encoding="utf-8")

    done = suite.runpytest_subprocess()

    done.stdout.fnmatch_lines(["TOO FEW examples of hypothesis: 7 where 100 were examined before"])
    assert done.ret == pytest.ExitCode.TESTS_FAILED


def test_a_part_of_the_suite_may_examine_less(suite: pytest.Pytester) -> None:
    (suite.path / "tests" / "test_one.py").write_text("def test_one():\n    pass\n", encoding="utf-8")

    assert suite.runpytest_subprocess("tests/test_one.py").ret == pytest.ExitCode.OK
