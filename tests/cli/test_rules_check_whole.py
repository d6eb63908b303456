"""`bondwright rules check` of what is named, and of the published packs that stand: proofs, worked cases, and mistakes."""

from pathlib import Path

import pytest
from tests.cli.small_rules import AMENDMENT, BASE, publish

from bondwright.cli import main
from bondwright.cli.rules.choosing import today


@pytest.fixture
def published(rules: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """The small rules folder with both editions published, the first withdrawn for the second."""
    assert [publish(rules, edition) for edition in (BASE, AMENDMENT)] == [0, 0]
    capsys.readouterr()
    return rules


def check(rules: Path, *asked: str) -> int:
    """The exit status of checking in that folder."""
    return main(["rules", "check", "--rules", str(rules), *asked])


def withdraw(rules: Path) -> None:
    """Withdraws the first book for the second."""
    text = f"withdrawn:\n  - {{pack_id: book-first-r1, reason: it was wrong, since: {today()}, successor: book-second-r1}}\n"
    (rules / "withdrawn.yaml").write_text(text, encoding="utf-8")


def test_each_published_pack_has_a_line(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = check(published, "--full", "--published")

    none = "0 claims of worked cases judged, 0 wanting; 0 of 0 expectations compared"
    expected = [f"book-first-r1: every proof holds; {none}", f"book-second-r1: every proof holds; {none}", "rules: 2 checked, 0 wanting"]
    assert (status, capsys.readouterr().out.splitlines()) == (0, expected)


def test_one_that_is_withdrawn_has_none(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    withdraw(published)

    assert check(published, "--published") == 0

    assert "book-first-r1" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--published", "book-second-r2"), "no pack `book-second-r2` is published and not withdrawn; did you mean `book-second-r1`?"),
        (("book-second-r2",), "no rule pack `book-second-r2` is published; did you mean `book-second-r1`?"),
    ],
)
def test_an_unknown_name_is_a_wrong_call(published: Path, asked: tuple[str, ...], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert check(published, *asked) == 2
    assert words in capsys.readouterr().err


def test_an_edition_that_is_named_is_checked_alone(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert check(published, AMENDMENT) == 0

    out = capsys.readouterr().out.splitlines()
    assert out[0].startswith(f"{AMENDMENT}: every check holds; ")
    assert out[1:] == ["rules: 1 checked, 0 wanting"]
