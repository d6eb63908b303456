"""The first difference of two answers is the one a reader would find."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.audit.comparing.difference import Difference, first_difference, packs_named

_JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 9) | st.floats(-9, 9, allow_nan=False) | st.text(max_size=3),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@pytest.mark.parametrize(
    ("was", "now", "found"),
    [
        (b'{"a":1}', b'{"a":1}', None),
        (b'{"a":1}', b'{"a":2}', Difference("/a", "1", "2")),
        (b'{"a":1}', b'{"a":1.0}', Difference("/a", "1", "1.0")),
        (b'{"a":true}', b'{"a":1}', Difference("/a", "true", "1")),
        (b'{"a":[1,2]}', b'{"a":[1]}', Difference("/a/1", "2", None)),
        (b'{"a":null}', b"{}", Difference("/a", "null", None)),
        (b"{}", b'{"a/b~":0}', Difference("/a~1b~0", None, "0")),
        (b'{"a":1,"b":2}', b'{"b":2,"a":1}', Difference("", '{"a":1,"b":2}', '{"b":2,"a":1}')),
        (b'{"a":{"b":[]},"c":1}', b'{"a":{"b":{}},"c":2}', Difference("/a/b", "[]", "{}")),
        (b'{"a":1}', b'{"a": 1}', Difference("", '{"a":1}', '{"a": 1}')),
        (b"\xff", b"{}", Difference("", "\\xff", "{}")),
    ],
)
def test_the_first_difference_is_told_with_its_place(was: bytes, now: bytes, found: Difference | None) -> None:
    assert found == first_difference(was, now)


@given(_JSON, _JSON)
def test_what_stands_at_the_place_is_what_is_told(was: Any, now: Any) -> None:
    one, other = (json.dumps(side, ensure_ascii=False).encode() for side in (was, now))

    found = first_difference(one, other)

    assert (found is None) == (one == other)
    if found is not None and found.pointer:
        for side, told in ((was, found.was), (now, found.now)):
            assert _at(side, found.pointer) == (None if told is None else [json.loads(told)])


def test_what_is_no_evaluation_names_no_pack() -> None:
    assert [packs_named(content) for content in (b"", b"[]", b"{}", b'{"pack":{"also_usable":[1]}}')] == [{}] * 4


def _at(value: Any, pointer: str) -> list[Any] | None:
    """The value at a pointer, by RFC 6901, in a list; none if there is none."""
    for step in pointer.split("/")[1:]:
        step = step.replace("~1", "/").replace("~0", "~")
        if isinstance(value, list):
            if int(step) >= len(value):
                return None
            value = value[int(step)]
        elif step in value:
            value = value[step]
        else:
            return None
    return [value]
