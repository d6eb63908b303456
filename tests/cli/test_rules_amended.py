"""What an amendment adds, changes and takes away is told by `diff`, weighed by `publish`, followed by `history` and printed whole."""

from pathlib import Path

import pytest
from tests.cli.small_rules import AMENDMENT, BASE, excused, publish

from bondwright.cli import main

CHANGES = """\
  - take_away: {condition: metal-in-doubt}
    was: {doubted: yes}
  - change: {example: metal-from-ground}
    was: {given: {metal: yes, ground: no, doubted: no}, expect: {main_bonding: not_required}}
    now: {expect: {main_bonding: in_doubt}}
  - add: {fact: painted}
    with: {of: part, kind: yes_no, meaning: "is painted", ask: "Is it painted?"}
  - add: {row_of: joined}
    with: {duty: [in_doubt], act: leave}
    before: {act: leave}
"""
TOLD = (
    "rule metal-from-ground: example: was {given: {metal: yes, ground: no, doubted: no}, expect: {main_bonding: not_required}}; "
    "now {given: {metal: yes, ground: no, doubted: no}, expect: {main_bonding: in_doubt}}",
    "rule metal-in-doubt: when: was {metal: yes, doubted: yes}; now {metal: yes}",
    "fact painted: added",
    "list of joints: entry: was nothing; now duty in_doubt, duty_firm any, act leave, objection_firm any",
)


@pytest.fixture
def changed(rules: Path) -> Path:
    """The small rules folder with both editions published, and changes of several kinds in the second revision of the amendment."""
    assert [publish(rules, edition) for edition in (BASE, AMENDMENT)] == [0, 0]
    path = rules / f"{AMENDMENT}.yaml"
    text = path.read_text(encoding="utf-8").replace("book-second-r1", "book-second-r2")
    path.write_text(text.replace("# the end\n", CHANGES), encoding="utf-8")
    return rules


def lines(rules: Path, capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    """What a command prints, line by line, without the margin."""
    capsys.readouterr()
    main(["rules", *words, "--rules", str(rules)])
    return [line.strip() for line in capsys.readouterr().out.splitlines()]


def test_the_difference_names_each(changed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed = lines(changed, capsys, "diff", "book-second-r1", AMENDMENT)

    assert [line for line in TOLD if line not in printed] == []


def test_publishing_says_which_way_each_goes_and_asks_for_the_reason_that_is_missing(
    changed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    printed = lines(changed, capsys, "publish", AMENDMENT, "--without-cases")

    assert [line for line in TOLD if line not in printed] == []
    assert any(line.startswith("main_bonding becomes stricter, not_required to in_doubt") for line in printed)
    assert "list of joints: which way it goes cannot be worked out" in printed
    assert any(line.startswith(f"WANTING {AMENDMENT}: list of joints") for line in printed)


def test_once_published_the_history_of_the_rule_has_the_change(changed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    excused(changed, AMENDMENT, "book-second-r1", "change", "list of joints")

    assert publish(changed) == 0
    printed = lines(changed, capsys, "history", "metal-in-doubt")
    assert printed[-2:] == ["book-second-r2 (usable from 2022-01-01, no end set): changed", TOLD[1]]


def test_the_whole_text_can_be_printed(changed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed = lines(changed, capsys, "consolidate", AMENDMENT)

    assert "when: {metal: yes}" in printed
    assert 'painted: {of: part, kind: yes_no, meaning: "is painted", ask: "Is it painted?"}' in printed
    assert printed[printed.index("- {duty: [in_doubt], act: leave}") + 1] == "- {act: leave}"


def test_a_change_taken_out_again_leaves_no_difference(changed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = changed / f"{AMENDMENT}.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace(CHANGES, ""), encoding="utf-8")

    assert lines(changed, capsys, "diff", "book-second-r1", AMENDMENT)[0] == "book-second-r1 to book-second-r2: 0 differences"
