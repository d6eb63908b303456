"""Reasons for leniency stand at the end of a pack, apart from what decides; a mistake in one is placed where it is edited."""

from pathlib import Path

import pytest
from tests.rules.mini import EDITION, EDITION_FILE, FILES, shelve
from tests.rules.revisions import published

from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.meaning import unjudged
from bondwright.errors import UnreadableRules
from bondwright.rulebook.because import KeptCases, draft_text, rules_text
from bondwright.shelf.packs import consolidate, draft_pack, load_pack

REASON = """\
  - since: mini-first-r0
    outcome: extraneous
    because: "The book says less now."
    clause: "411.3"
    source: {from: small-book, kind: stated, confidence: secondary}
"""
CASE = """\
  - since: mini-first-r0
    case: a-pipe
    changed: [/expect/parts/a~1b/act, /]
    because: "It was wrong."
    clause: "411.3"
    source: {from: small-book, kind: stated, confidence: secondary}
"""
DIGEST = "0" * 64


def with_reasons(folder: Path, *reasons: str) -> Path:
    """The mini pack's files with these reasons."""
    return shelve(folder, {**FILES, EDITION_FILE: FILES[EDITION_FILE] + "lenient:\n" + "".join(reasons)})


def test_reasons_are_read(tmp_path: Path) -> None:
    outcome, case = draft_pack(with_reasons(tmp_path, REASON, CASE), EDITION).lenient

    assert (outcome.since, outcome.about, outcome.name, outcome.says) == (
        "mini-first-r0",
        "outcome",
        "extraneous",
        "The book says less now.",
    )
    assert (case.about, case.name, case.changed) == ("case", "a-pipe", ("/expect/parts/a~1b/act", "/"))


def test_a_pack_decides_the_same_with_and_without_reasons(tmp_path: Path) -> None:
    bare = consolidate(shelve(tmp_path / "bare"), EDITION)
    reasoned = consolidate(with_reasons(tmp_path / "reasoned", REASON), EDITION)

    assert rules_text(reasoned) == bare == rules_text(bare)
    assert draft_text(reasoned) == reasoned
    assert reasoned.decode().endswith(f"# ---- {EDITION_FILE}\nlenient:\n{REASON}")


def test_what_publishing_writes_of_the_cases_is_read_and_set_apart(tmp_path: Path) -> None:
    text = consolidate(with_reasons(tmp_path, REASON), EDITION)
    published = text + f'# ---- cases\ncases: {{claims: 2, expectations: 9, digest: "{DIGEST}"}}\n'.encode()

    assert load_pack(published, "published/mini.yaml").cases == KeptCases(2, 9, DIGEST)
    assert draft_text(published) == text
    assert load_pack(text, "published/mini.yaml").cases is None


MISTAKES = {
    "two things": (
        "outcome: extraneous",
        'outcome: extraneous\n    change: "x"',
        3,
        "a reason is about exactly one of `outcome`, `change`, `case`",
    ),
    "nothing": ("    outcome: extraneous\n", "", 3, "a reason is about exactly one of"),
    "an unknown outcome": ("extraneous", "extraneus", 14, "`extraneus` is no outcome; did you mean `extraneous`?"),
    "no clause": ('    clause: "411.3"\n', "", 3, "a reason lacks `clause`"),
    "an unknown source": ("small-book", "tall-book", 20, "`tall-book` is no declared source"),
    "pointers of no case": ("    because", "    changed: [/a]\n    because", 5, "a reason has no key `changed`"),
    "no pack": ("mini-first-r0", "first pack", 12, "`first pack` cannot be the name of a pack"),
}


@pytest.mark.parametrize(("was", "now", "column", "words"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_in_a_reason_is_placed_in_the_edited_file(tmp_path: Path, was: str, now: str, column: int, words: str) -> None:
    with pytest.raises(UnreadableRules) as refused:
        draft_pack(with_reasons(tmp_path, REASON.replace(was, now, 1)), EDITION)

    first = FILES[EDITION_FILE].count("\n") + 2
    assert refused.value.file == EDITION_FILE
    assert refused.value.line in range(first, first + 7)
    assert refused.value.column - column in (0, 2)
    assert words in str(refused.value)


def test_one_thing_has_one_reason(tmp_path: Path) -> None:
    with pytest.raises(UnreadableRules, match="outcome `extraneous` has its reason already"):
        draft_pack(with_reasons(tmp_path, REASON, REASON), EDITION)


@pytest.mark.parametrize("pointers", ["[]", "[expect]"])
def test_what_was_changed_in_a_case_is_named_by_pointers(tmp_path: Path, pointers: str) -> None:
    with pytest.raises(UnreadableRules, match="is a list of JSON Pointers into the case"):
        draft_pack(with_reasons(tmp_path, CASE.replace("[/expect/parts/a~1b/act, /]", pointers)), EDITION)


def test_changes_are_called_as_published_reasons_call_them() -> None:
    old, new = published("bs7671-2018-a2-r2"), published("bs7671-2018-a2-r3")

    reasoned = {reason.name for reason in new.lenient if reason.about == "change"}

    assert "list of joints" in reasoned
    assert reasoned <= set(unjudged(old, new, changes(old, new)))
