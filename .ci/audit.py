"""Asks advisory services about the versions that the image installs: `uv run --isolated --only-group audit python .ci/audit.py`.

Statuses: 0 nothing is known against them, or nothing could be asked, which is then said aloud; 1 a vulnerability is known; 2 pip-audit
failed for another reason than the network.
"""

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

REQUIREMENTS = Path(__file__).parents[1] / "service" / "requirements.txt"
SERVICES = ("pypi", "osv")
"""Asked in this order, until one knows anything of the requirements."""

CLEAN, VULNERABLE, FAILED = 0, 1, 2

_UNREACHABLE = ("ConnectionError", "Could not connect", "Max retries exceeded", "timed out", "Timeout")


@dataclass(frozen=True)
class Audit:
    """What one service said. `vulnerable`: a line for each advisory; `failure`: why there is no answer at all, if so."""

    audited: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    vulnerable: tuple[str, ...] = ()
    failure: str = ""
    network_is_at_fault: bool = False


def read(output: str, errors: str) -> Audit:
    """The answer in what pip-audit printed on standard output, as JSON, and on standard error."""
    try:
        dependencies = json.loads(output)["dependencies"]
    except (ValueError, KeyError, TypeError):
        last = (errors.strip().splitlines() or ["it printed nothing"])[-1]
        return Audit(failure=last, network_is_at_fault=any(sign in errors for sign in _UNREACHABLE))
    asked = [one for one in dependencies if "skip_reason" not in one]
    return Audit(
        audited=tuple(one["name"] for one in asked),
        skipped=tuple(one["name"] for one in dependencies if "skip_reason" in one),
        vulnerable=tuple(_line(one, advisory) for one in asked for advisory in one["vulns"]),
    )


def judge(audits: Sequence[Audit]) -> tuple[int, str]:
    """The status to end with, and what to print."""
    for audit in audits:
        if audit.failure and not audit.network_is_at_fault:
            return FAILED, f"pip-audit failed: {audit.failure}"
    answered = [audit for audit in audits if audit.audited]
    if not answered:
        return CLEAN, "WARNING: NOTHING WAS AUDITED; no advisory service could be reached from here, or none knew the requirements"
    audit = answered[-1]
    missing = f"; NOT AUDITED: {', '.join(audit.skipped)}" if audit.skipped else ""
    if audit.vulnerable:
        return VULNERABLE, "\n".join([*audit.vulnerable, f"raise these versions, or leave the libraries out{missing}"])
    return CLEAN, f"{len(audit.audited)} requirements audited, nothing known against them{missing}"


def _line(dependency: dict[str, Any], advisory: dict[str, Any]) -> str:
    names = ", ".join([advisory["id"], *advisory.get("aliases", ())])
    cure = f"fixed in {', '.join(advisory['fix_versions'])}" if advisory["fix_versions"] else "no version mends it yet"
    return f"{dependency['name']} {dependency['version']}: {names}; {cure}"


def _ask(service: str) -> Audit:
    command = [sys.executable, "-m", "pip_audit", "--requirement", str(REQUIREMENTS), "--require-hashes", "--disable-pip"]
    options = ["--vulnerability-service", service, "--format", "json", "--aliases", "on", "--progress-spinner", "off"]
    try:
        done = subprocess.run([*command, *options], capture_output=True, text=True, check=False, timeout=180)
    except subprocess.TimeoutExpired:
        return Audit(failure="it did not end in time", network_is_at_fault=True)
    return read(done.stdout, done.stderr)


def main() -> int:
    """Ask, print, and give the status."""
    audits: list[Audit] = []
    for service in SERVICES:
        audits.append(_ask(service))
        if audits[-1].audited:
            break
    status, told = judge(audits)
    print(told)
    return status


if __name__ == "__main__":
    raise SystemExit(main())
