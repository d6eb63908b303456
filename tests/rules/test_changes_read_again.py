"""A draft whose base was changed is what reading everything anew would give, and only what the change touches is read again."""

from pathlib import Path

import pytest
from tests.rules.amended import AMENDMENT, CELL, SET, WITHDRAWN, amended
from tests.rules.mini import EDITION_FILE, FILES

from bondwright.errors import UnreadableRules
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.drafts.read_again import read_again
from bondwright.shelf.reading.nodes import read_nodes

STEPS = (
    ("a word of a rule", "can bring in a potential", "may bring in a potential"),
    (
        "a line more",
        "    examples:\n      - {given: {generator: no, neutral",
        "    # Of the table.\n    examples:\n      - {given: {generator: no, neutral",
    ),
    ("a line less", "  # A reading can show isolation.\n", ""),
    (
        "an example that others are like",
        "- {given: {metal: yes, ground: yes}, expect",
        "- {given: {metal: yes, ground: yes, surroundings: slab}, expect",
    ),
    (
        "a short example",
        "      - {given: {metal: yes}, expect: {extraneous: {worst_case: extraneous, firm: no}}}\n",
        "      - {ground: no, expect: not_extraneous}\n",
    ),
    ("two sections at once", 'value: 22 kohm, clause: "2.1"', 'value: 21 kohm, clause: "2.2"'),
    ("a table", "[50, 16]", "[50, 16], [60, 20]"),
)


def test_after_each_change_the_draft_is_as_if_it_were_read_anew(tmp_path: Path) -> None:
    folder, text = amended(tmp_path, CELL + SET + WITHDRAWN), FILES[EDITION_FILE]
    for what, was, now in STEPS:
        assert was in text, what
        text = text.replace(was, now)
        (folder / EDITION_FILE).write_text(text, encoding="utf-8")

        made = consolidated(folder, AMENDMENT)

        assert made.root == read_nodes(made.text, made.name), what


def test_a_file_that_cannot_be_read_is_refused_and_the_next_one_read(tmp_path: Path) -> None:
    folder = amended(tmp_path, CELL)
    before = consolidated(folder, AMENDMENT)
    path = folder / EDITION_FILE
    path.write_text(
        FILES[EDITION_FILE].replace("    when: {metal: yes, ground: yes}", "    when: {metal: yes, ground: yes"), encoding="utf-8"
    )

    with pytest.raises(UnreadableRules, match=rf"^{EDITION_FILE}:2[0-9]:"):
        consolidated(folder, AMENDMENT)

    path.write_text(FILES[EDITION_FILE], encoding="utf-8")
    assert consolidated(folder, AMENDMENT) is before


def test_the_rules_that_a_change_does_not_touch_are_not_read_again() -> None:
    text = FILES[EDITION_FILE]
    before = read_again("again.yaml", text.encode()).root

    after = read_again("again.yaml", text.replace("proves nothing.", "proves little.").encode()).root

    same = [one is other for one, other in zip(before.entries["rules"].items, after.entries["rules"].items, strict=True)]  # type: ignore[union-attr]
    assert same.count(False) == 1
    assert before.entries["tables"] is after.entries["tables"]
