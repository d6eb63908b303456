"""A clause that becomes another, and a confidence that rises: neither is published without a reason that the pack keeps."""

from pathlib import Path

import pytest
from tests.cli.small_rules import BASE, publish

SOURCE = "source: {from: small-book, kind: stated, confidence: secondary}"
SECOND = 'clause: "411.3"\n    says: "Metal that comes'


@pytest.fixture
def opened(rules: Path) -> Path:
    """The small rules folder with its base published, and the base opened for its second revision."""
    assert publish(rules, BASE) == 0
    return changed(rules, "book-first-r1", "book-first-r2")


def changed(rules: Path, old: str, new: str) -> Path:
    """The folder with one text of the base, the first of its kind, put in the place of another."""
    path = rules / f"{BASE}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return rules


def with_reason(rules: Path, change: str, *more: str, kind: str = "stated") -> Path:
    """The folder with a reason for a change at the end of the base."""
    path = rules / f"{BASE}.yaml"
    lines = (
        "lenient:",
        "  - since: book-first-r1",
        f'    change: "{change}"',
        '    because: "The book says so now."',
        '    clause: "411.3"',
        f"    source: {{from: small-book, kind: {kind}, confidence: secondary}}",
        *(f"    {line}" for line in more),
    )
    path.write_text("\n".join((path.read_text(encoding="utf-8").rstrip("\n"), *lines, "")), encoding="utf-8")
    return rules


def told(rules: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """The status of publishing the base, and what it prints."""
    capsys.readouterr()
    status = publish(rules, BASE)
    return status, capsys.readouterr().out


def test_another_clause_needs_a_reason(opened: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(opened, SECOND, SECOND.replace("411.3", "411.4"))

    status, out = told(opened, capsys)

    assert status == 1
    assert "WANTING book/first: the clause of rule metal-from-ground was `411.3` and is `411.4`; no reason is given for it" in out
    assert told(with_reason(opened, "clause of rule metal-from-ground"), capsys)[0] == 0


@pytest.mark.parametrize("confidence", ["checked_once", "checked_twice"])
def test_a_confidence_that_rises_needs_a_reason_and_the_day_on_which_the_source_was_seen(
    opened: Path, confidence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    changed(opened, SOURCE, SOURCE.replace("secondary", confidence))

    status, out = told(opened, capsys)

    assert status == 1
    assert f"WANTING book/first: the confidence of table bond-by-neutral rises from secondary to {confidence}; no reason is given" in out
    assert "    seen_on: FILL-IN" in out
    assert told(with_reason(opened, "confidence of table bond-by-neutral", "seen_on: 2026-11-25"), capsys)[0] == 0


@pytest.mark.parametrize(("more", "kind"), [((), "stated"), (("seen_on: 2026-11-25",), "our_reading")])
def test_a_reason_without_that_day_or_without_a_source_that_states_it_does_not_serve(
    opened: Path, more: tuple[str, ...], kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    changed(opened, SOURCE, SOURCE.replace("secondary", "checked_once"))
    with_reason(opened, "confidence of table bond-by-neutral", *more, kind=kind)

    status, out = told(opened, capsys)

    assert status == 1
    assert "write `seen_on` with the day on which the source was seen, and a source that states it" in out


def test_a_confidence_that_falls_needs_none(opened: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert told(changed(opened, SOURCE, SOURCE.replace("secondary", "from_memory")), capsys)[0] == 0


def test_a_day_that_is_none_is_refused_with_its_place(opened: Path) -> None:
    with_reason(opened, "confidence of table bond-by-neutral", "seen_on: yesterday")

    assert publish(opened, BASE) == 1
