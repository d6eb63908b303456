"""How much a run examined: tests, examples of hypothesis, requests of the fuzz. A whole run that examined less than before fails."""

import re
from collections import Counter
from collections.abc import Mapping
from typing import Any

import pytest

FEWEST: Mapping[str, int] = {"tests": 21_260, "examples of hypothesis": 25_100, "requests of the fuzz": 11_000}
"""What the whole suite examines at the least; raised as it grows, never lowered without a word in the commit."""
FEWEST_LONGER: Mapping[str, int] = {"tests": 785, "examples of hypothesis": 274}
"""The same of what it leaves to `--longer`: what moves from one to the other lowers neither sum."""

COUNTED = "counted"
"""A test that generates cases by other means says how many: `record_property(COUNTED, (what, how_many))`."""

_PASSING = re.compile(r"^ +- (\d+) passing, ", re.MULTILINE)


def note_examples(item: pytest.Item, report: pytest.TestReport) -> None:
    """Adds to a report how many examples of hypothesis passed in the test."""
    told = getattr(item, "hypothesis_statistics", "")
    if report.when == "call" and told:
        report.user_properties.append((COUNTED, ("examples of hypothesis", sum(map(int, _PASSING.findall(told))))))


class Counted:
    """Counts as reports come in, from this process or others."""

    def __init__(self, config: pytest.Config) -> None:
        options = config.option
        self._whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and not (options.keyword or options.markexpr)
        self._counts: Counter[str] = Counter()
        self._fewest = FEWEST_LONGER if getattr(options, "longer", False) else FEWEST

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Counts what one test examined."""
        if report.when == "setup":
            self._counts["tests"] += 1
        if report.when == "call":
            told: list[tuple[str, Any]] = report.user_properties
            for what, how_many in (value for name, value in told if name == COUNTED):
                self._counts[what] += how_many

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        """A whole run that passed fails after all, if it examined too little."""
        if exitstatus == pytest.ExitCode.OK and self._too_few():
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        """Says what was examined, and what is too little."""
        told = ", ".join(f"{count:,} {what}" for what, count in self._counts.items() if count)
        terminalreporter.write_line(f"examined: {told or 'nothing'}")
        for what in self._too_few():
            before = f"{self._fewest[what]:,} were examined before"
            terminalreporter.write_line(f"TOO FEW {what}: {self._counts[what]:,} where {before}", red=True)

    def _too_few(self) -> list[str]:
        return [what for what, fewest in self._fewest.items() if self._whole and self._counts[what] < fewest]
