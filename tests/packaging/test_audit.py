"""What `.ci/audit.py` makes of the answers of pip-audit; the samples have the form of version 2.10."""

import json
from importlib.util import module_from_spec, spec_from_file_location
from types import ModuleType
from typing import Any

import pytest
from tests.packaging.project import ROOT, pyproject

CLEAN = {"name": "orjson", "version": "3.13.0", "vulns": []}
UNKNOWN = {"name": "jiter", "skip_reason": "Dependency not found on PyPI and could not be audited: jiter (0.19.0)"}
VULNERABLE = {
    "name": "fastapi",
    "version": "0.165.0",
    "vulns": [{"id": "PYSEC-2099-1", "fix_versions": ["0.165.1"], "aliases": ["CVE-2099-0001"], "description": "An invented one."}],
}
UNMENDED = {"name": "numpy", "version": "2.4.0", "vulns": [{"id": "PYSEC-2099-2", "fix_versions": [], "aliases": [], "description": "."}]}
NO_NETWORK = "Traceback (most recent call last):\nrequests.exceptions.ConnectionError: Max retries exceeded\n"


@pytest.fixture(scope="module")
def audit() -> ModuleType:
    """The script as a module."""
    spec = spec_from_file_location("audit", ROOT / ".ci" / "audit.py")
    assert spec and spec.loader
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def printed(*dependencies: dict[str, Any]) -> str:
    """What pip-audit prints of these."""
    return json.dumps({"dependencies": list(dependencies), "fixes": []})


def test_nothing_known_passes(audit: ModuleType) -> None:
    assert audit.judge([audit.read(printed(CLEAN), "")]) == (0, "1 requirements audited, nothing known against them")


def test_a_vulnerability_fails_with_its_names_and_the_cure(audit: ModuleType) -> None:
    status, told = audit.judge([audit.read(printed(CLEAN, VULNERABLE), "Found 1 known vulnerability in 1 package")])

    assert status == 1
    assert told.startswith("fastapi 0.165.0: PYSEC-2099-1, CVE-2099-0001; fixed in 0.165.1\n")


def test_a_vulnerability_that_no_version_mends_fails(audit: ModuleType) -> None:
    status, told = audit.judge([audit.read(printed(UNMENDED), "")])

    assert status == 1
    assert told.startswith("numpy 2.4.0: PYSEC-2099-2; no version mends it yet\n")


def test_what_was_not_audited_is_named(audit: ModuleType) -> None:
    clean = audit.judge([audit.read(printed(CLEAN, UNKNOWN), "")])
    vulnerable = audit.judge([audit.read(printed(VULNERABLE, UNKNOWN), "")])

    assert (clean[0], vulnerable[0]) == (0, 1)
    assert clean[1].endswith("; NOT AUDITED: jiter")
    assert vulnerable[1].endswith("; NOT AUDITED: jiter")


def test_that_nothing_was_audited_is_said_aloud_and_passes(audit: ModuleType) -> None:
    status, told = audit.judge([audit.read(printed(UNKNOWN), "No known vulnerabilities found"), audit.read("", NO_NETWORK)])

    assert status == 0
    assert told.startswith("WARNING: NOTHING WAS AUDITED")


def test_what_the_second_service_knows_counts(audit: ModuleType) -> None:
    status, _ = audit.judge([audit.read(printed(UNKNOWN), ""), audit.read(printed(VULNERABLE), "")])

    assert status == 1


@pytest.mark.parametrize("output", ["", "[]", "{}", "Found 1"])
def test_any_other_failure_of_the_tool_fails(output: str, audit: ModuleType) -> None:
    status, told = audit.judge([audit.read(output, "usage: pip-audit\npip-audit: error: unrecognized arguments: --new")])

    assert (status, told) == (2, "pip-audit failed: pip-audit: error: unrecognized arguments: --new")


def test_the_run_of_all_checks_audits() -> None:
    assert "python .ci/audit.py" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert [one for one in pyproject()["dependency-groups"]["audit"] if one.startswith("pip-audit")] != []
