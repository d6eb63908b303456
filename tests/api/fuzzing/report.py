"""What a run of schemathesis did and found, read from the events that it writes as lines of JSON."""

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PHASES = ("examples", "coverage", "fuzzing", "stateful")


@dataclass(frozen=True, slots=True)
class Sent:
    """A request and the status of its answer. `identity`: whose key it showed, if any; `after`: the request that it was derived from."""

    operation: str
    phase: str
    mode: str
    identity: str | None
    status: int | None
    after: "Sent | None"

    @property
    def is_fulfilled(self) -> bool:
        """Whether it got what it asked for."""
        return self.status is not None and 200 <= self.status < 300


@dataclass(frozen=True, slots=True)
class Found:
    """A check that failed, at an operation."""

    check: str
    operation: str


@dataclass(frozen=True, slots=True)
class Report:
    """What was sent and found. `passed`: phases without a failure; `checked`: how often each check had its say; `said`: for people.

    `status`: of the program, 0 only if nothing at all went wrong.
    """

    status: int
    operations: int
    passed: tuple[str, ...]
    sent: tuple[Sent, ...]
    found: frozenset[Found]
    checked: Counter[str]
    said: str


def read_report(file: Path, status: int, said: str) -> Report:
    """The report in a file of events."""
    sent: list[Sent] = []
    found: set[Found] = set()
    checked: Counter[str] = Counter()
    passed: list[str] = []
    operations = 0
    with file.open() as lines:
        for kind, event in (next(iter(json.loads(line).items())) for line in lines):
            if kind == "LoadingFinished":
                operations = event["statistic"]["operations"]["selected"]
            elif kind == "PhaseFinished" and event["status"] == "success":
                passed.append(event["phase"]["name"])
            elif kind == "ScenarioFinished":
                sent += _sent(event["recorder"], event["phase"])
                for check, operation in _verdicts(event["recorder"]):
                    checked[check] += 1
                    found |= {Found(check, operation)} if operation else set()
    return Report(status, operations, tuple(phase for phase in PHASES if phase in passed), tuple(sent), frozenset(found), checked, said)


def _sent(recorder: dict[str, Any], phase: str) -> list[Sent]:
    done: dict[str, Sent] = {}
    # A request is written down after the one that it was derived from.
    for name, case in recorder.get("cases", {}).items():
        value = case["value"]
        answer = recorder.get("interactions", {}).get(name, {}).get("response") or {}
        done[name] = Sent(
            operation=f"{value['method']} {value['path']}",
            phase=phase,
            mode=value.get("meta", {}).get("generation", {}).get("mode", ""),
            identity=value.get("auth_identity"),
            status=answer.get("status_code"),
            after=done.get(case.get("parent_id")),
        )
    return list(done.values())


def _verdicts(recorder: dict[str, Any]) -> Iterator[tuple[str, str | None]]:
    """Each check that had its say, with the operation where it failed."""
    for checks in recorder.get("checks", {}).values():
        for check in checks:
            failed = check["status"] != "success"
            yield check["name"], check["failure_info"]["failure"]["operation"] if failed else None
