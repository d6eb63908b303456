"""The file of withdrawn packs is read strictly: what it says is what happened, or it is refused at the place."""

import hashlib
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from bondwright.errors import UnreadableRules
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.packs import LOCK, rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.withdrawn import FILE, withdrawn_packs

PUBLISHED = {
    "book-2020-r1": "2026-01-01",
    "book-2020-r2": "2026-02-01",
    "book-2020-r3": "2026-03-01",
    "book-2020-asked-r1": "2026-01-01",
    "other-2020-r1": "2026-01-01",
}
"""Packs with the days on which they were published."""

GOOD = """\
withdrawn:
  - pack_id: book-2020-r1
    reason: "A bond too small was let pass."
    since: 2026-03-02
    successor: book-2020-r3
  - {pack_id: book-2020-r2, reason: "The same.", since: 2026-03-01, successor: book-2020-r3}
"""

MISTAKES = [
    ("  - pack_id: book-2020-r1", "  - pack: book-2020-r1", "2:5: a withdrawal has no key `pack`; did you mean `pack_id`?"),
    ("    reason: ", "    #", "2:5: a withdrawal lacks `reason`"),
    ('"A bond too small was let pass."', "", "3:5: `reason` has no value; write one"),
    ("pack_id: book-2020-r1", "pack_id: book-2020-r9", "2:14: `book-2020-r9` is no published pack; did you mean `book-2020-r"),
    (
        "successor: book-2020-r3\n  -",
        "successor: book-2020-r4\n  -",
        "5:16: `book-2020-r4` is no published pack; did you mean `book-2020-r",
    ),
    ("successor: book-2020-r3\n  -", "successor: book-2020-r2\n  -", "5:16: `book-2020-r2` is withdrawn itself; name a pack that stands"),
    ("successor: book-2020-r3\n  -", "successor: book-2020-r1\n  -", "5:16: `book-2020-r1` is withdrawn itself; name a pack that stands"),
    ("successor: book-2020-r3\n  -", "successor: other-2020-r1\n  -", "5:16: `other-2020-r1` is of another family than `book-2020-r1`"),
    ("successor: book-2020-r3\n  -", "successor: book-2020-asked-r1\n  -", "5:16: `book-2020-asked-r1` is used on request alone"),
    ("{pack_id: book-2020-r2", "{pack_id: book-2020-r1", "6:15: pack `book-2020-r1` is withdrawn twice; keep one of both entries"),
    ("since: 2026-03-02", "since: 2026-02-30", "4:12: `2026-02-30` is no date; write `since` as year-month-day"),
    ("since: 2026-03-02", "since: 2025-12-31", "4:12: `since` 2025-12-31 is before `book-2020-r1` was published, on 2026-01-01"),
    ("since: 2026-03-02", "since: 2026-02-28", "4:12: `since` 2026-02-28 is before `book-2020-r3` was published, on 2026-03-01"),
    ("withdrawn:\n", "withdrew:\n", "1:1: file `withdrawn.yaml` has no key `withdrew`; did you mean `withdrawn`?"),
    (GOOD, "withdrawn: {}\n", "1:12: `withdrawn` must be a list, such as `[one, two]`"),
    (GOOD, "withdrawn:\n", "1:1: `withdrawn` has no value"),
    (GOOD, "", "1:1: the file is empty"),
    (GOOD, "withdrawn: [\n", "the text cannot be read from here on"),
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A rules folder with published packs, of which only the head can be read."""
    (tmp_path / "published").mkdir()
    lines = []
    for pack_id, day in PUBLISHED.items():
        asked = "\n  on_request: yes" if "asked" in pack_id else ""
        text = (
            f'pack:\n  id: {pack_id}\n  title: "A book"\n  standard: "BOOK 1:2020"\n'
            f"  usable: {{from: 2020-01-01, to: open}}\n  review_by: 2027-01-01{asked}\n"
        )
        (tmp_path / "published" / f"{pack_id}.yaml").write_text(text, encoding="utf-8")
        lines.append(f"{pack_id} {hashlib.sha256(text.encode()).hexdigest()} {day}\n")
    (tmp_path / LOCK).write_text("".join(lines), encoding="ascii")
    return tmp_path


def read(folder: Path, text: str) -> Mapping[str, Withdrawal]:
    """What the file says, once `text` is its content."""
    (folder / FILE).write_text(text, encoding="utf-8")
    return withdrawn_packs(folder, on_shelf(folder))


def test_each_entry_says_why_since_when_and_what_stands_in_its_place(folder: Path) -> None:
    assert read(folder, GOOD) == {
        "book-2020-r1": Withdrawal("book-2020-r1", "A bond too small was let pass.", date(2026, 3, 2), "book-2020-r3"),
        "book-2020-r2": Withdrawal("book-2020-r2", "The same.", date(2026, 3, 1), "book-2020-r3"),
    }


def test_nothing_is_withdrawn_by_an_empty_list_or_without_the_file(folder: Path) -> None:
    without = withdrawn_packs(folder, on_shelf(folder))

    assert [without, read(folder, "withdrawn: []\n")] == [{}, {}]


def test_what_was_used_on_request_may_have_a_successor_on_request_or_by_date(folder: Path) -> None:
    asked = '{pack_id: book-2020-asked-r1, reason: "x", since: 2026-03-01, successor: book-2020-r3}'

    assert list(read(folder, f"withdrawn: [{asked}]\n")) == ["book-2020-asked-r1"]


@pytest.mark.parametrize(("was", "now", "refusal"), MISTAKES, ids=[refusal for _, _, refusal in MISTAKES])
def test_a_mistake_is_refused_at_its_place(folder: Path, was: str, now: str, refusal: str) -> None:
    assert was in GOOD

    with pytest.raises(UnreadableRules) as refused:
        read(folder, GOOD.replace(was, now, 1))

    assert str(refused.value).startswith(f"{FILE}:")
    assert refusal in str(refused.value)


def test_a_withdrawn_pack_is_told_in_one_sentence(folder: Path) -> None:
    assert read(folder, GOOD)["book-2020-r2"].sentence() == (
        "rule pack book-2020-r2 is withdrawn since 2026-03-01 (The same.); book-2020-r3 stands in its place"
    )


def test_every_published_pack_is_on_the_shelf_and_the_file_of_withdrawn_packs_can_be_read() -> None:
    packs = on_shelf(rules_folder())

    assert len(packs) >= 12
    assert set(withdrawn_packs(rules_folder(), packs)) <= {pack.pack_id for pack in packs}
