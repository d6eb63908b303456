"""A good pack with any part of it damaged is either still good or refused; nothing else ever escapes."""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from tests.rules.mini import EDITION, shelve
from tests.rules.test_strict_yaml import SNIPPETS, read_or_refuse

from bondwright.shelf.packs import consolidate

WORDS = (
    "yes",
    "unknown",
    "10 mm2",
    "{}",
    "[]",
    "[x]",
    "{x: y}",
    "above",
    "reading",
    "bond_size",
    "extraneous",
    "metal-from-ground",
    "''",
    "1",
)


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> str:
    return consolidate(shelve(tmp_path_factory.mktemp("rules")), EDITION).decode()


@given(data=some.data())
def test_any_stretch_may_be_replaced_by_anything(good: str, data: some.DataObject) -> None:
    start = data.draw(some.integers(0, len(good)))
    end = data.draw(some.integers(start, min(len(good), start + 60)))
    filling = data.draw(some.sampled_from((*SNIPPETS, *WORDS)) | some.text(max_size=5))

    read_or_refuse((good[:start] + filling + good[end:]).encode("utf-8", "replace"))


@given(data=some.data())
def test_any_value_may_be_of_another_shape(good: str, data: some.DataObject) -> None:
    pieces = good.split(": ")
    index = data.draw(some.integers(1, len(pieces) - 1))
    _, mark, rest = pieces[index].partition(data.draw(some.sampled_from((",", "}", "\n", "]"))))
    pieces[index] = data.draw(some.sampled_from(WORDS)) + mark + rest

    read_or_refuse(": ".join(pieces).encode())
