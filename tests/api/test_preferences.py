"""The header Prefer, read as RFC 7240 has it."""

import pytest

from bondwright.api.callers.preferences import wants_outline


@pytest.mark.parametrize(
    "header",
    [
        "return=minimal",
        "Return=minimal",
        "return = minimal",
        'return="minimal"',
        "return=minimal; foo=bar",
        "respond-async, return=minimal",
        'foo="a, return=representation", return=minimal',
        "return=minimal, return=representation",
        ",, return=minimal",
    ],
)
def test_a_minimal_answer_is_preferred(header: str) -> None:
    assert wants_outline(header)


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "return=representation",
        "return=representation, return=minimal",  # of one that is named twice the first counts: RFC 7240, section 2
        "return",
        "return=",
        "minimal",
        "returns=minimal",
        "handling=lenient; return=minimal",
        'foo="return=minimal"',
        '"return=minimal',
        "return='minimal'",
        "wait=10",
    ],
)
def test_anything_else_is_passed_over(header: str | None) -> None:
    assert not wants_outline(header)
