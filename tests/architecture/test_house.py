"""A guard that finds faults says each, with its module; the guards of this folder rest on that."""

import pytest
from tests.architecture.house import PACKAGE, nowhere, sources
from tests.architecture.test_imports import wrong_ways


def test_every_fault_of_every_module_is_named_in_one_failure() -> None:
    planted = {f"bondwright.metalwork.new_{number}": "from bondwright import audit\nfrom bondwright import cli" for number in range(60)}

    with pytest.raises(AssertionError) as failed:
        nowhere(wrong_ways, {**sources(), **planted})

    first, *named = str(failed.value).splitlines()
    expected = [f"{module}: {line}: metalwork may not import {folder}" for module in planted for line, folder in ((1, "audit"), (2, "cli"))]
    assert (first, named) == ("120 faults", expected)


def test_a_guard_that_finds_nothing_passes() -> None:
    nowhere(wrong_ways, {"bondwright.metalwork.new": "import json"})


def test_without_other_modules_every_module_of_the_package_is_looked_at() -> None:
    looked_at: list[str] = []

    def guard(module: str, source: str) -> list[str]:
        looked_at.append(module)
        return [] if source == sources()[module] else ["another source"]

    nowhere(guard)

    assert looked_at == list(sources())
    assert len(looked_at) == len(list(PACKAGE.rglob("*.py")))
