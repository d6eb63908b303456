"""The examples in the calculators' docstrings."""

import doctest
from types import ModuleType

import pytest

from bondwright.calculators import conductors, effectiveness, isolation, ranges, water


@pytest.mark.parametrize("module", [conductors, effectiveness, isolation, ranges, water], ids=lambda module: module.__name__)
def test_docstring_examples_give_what_they_show(module: ModuleType) -> None:
    results = doctest.testmod(module)

    assert results.attempted > 0
    assert results.failed == 0
