"""The examples in the calculators' docstrings."""

import doctest
from types import ModuleType

import pytest

from bondwright.calculators import (
    adiabatic,
    body,
    conductors,
    continuity,
    disconnection,
    effectiveness,
    instruments,
    isolation,
    pipes,
    ranges,
    water,
)

MODULES = [adiabatic, body, conductors, continuity, disconnection, effectiveness, instruments, isolation, pipes, ranges, water]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_docstring_examples_give_what_they_show(module: ModuleType) -> None:
    results = doctest.testmod(module)

    assert results.attempted > 0
    assert results.failed == 0
