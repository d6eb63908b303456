"""The examples in the docstrings of the fault networks."""

import doctest
from types import ModuleType

import pytest

from bondwright.calculators.networks import earth_fault, linear, open_pen


@pytest.mark.parametrize("module", [earth_fault, linear, open_pen], ids=lambda module: module.__name__)
def test_docstring_examples_of_networks_give_what_they_show(module: ModuleType) -> None:
    results = doctest.testmod(module)

    assert results.attempted > 0
    assert results.failed == 0
