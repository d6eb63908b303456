"""An example states only what is otherwise than in another; the draft has every one whole, on the line on which it is written."""

from pathlib import Path

import pytest
from tests.rules.mini import EDITION, EDITION_FILE, FILES, shelve

from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import consolidate, draft_pack

GROUND = "      - {given: {metal: yes}, expect: {extraneous: {worst_case: extraneous, firm: no}}}\n"
SIZE = "      - {given: {generator: no}, expect: {bond_size: {worst_case: 25, provisional: none, firm: no}}}\n"
LIKED = "      - {given: {metal: yes, ground: yes, reading: 22 kohm, surroundings: free_air}, expect: {extraneous: not_extraneous}}\n"

SHORT = {
    "a fact is taken away, and the worst case stays": (GROUND, "{ground: unknown, expect: {firm: no}}"),
    "a size and more of it": (SIZE, "{neutral: unknown, expect: {worst_case: 25, provisional: none, firm: no}}"),
    "like the first example of a rule above": (
        LIKED,
        "{like: metal-from-ground, reading: 22 kohm, surroundings: free_air, expect: not_extraneous}",
    ),
    "an example over several lines": (GROUND, "{ground: unknown,\n         expect: {worst_case: extraneous,\n                  firm: no}}"),
}


def text(folder: Path, was: str, short: str) -> list[str]:
    """The lines of the draft with `short` in the place of what stands in an example."""
    files = {**FILES, EDITION_FILE: FILES[EDITION_FILE].replace(was, f"      - {short}\n")}
    assert files != FILES
    return consolidate(shelve(folder, files), EDITION).decode().splitlines()


@pytest.mark.parametrize("what", SHORT)
def test_a_short_example_is_written_out_in_its_place(what: str, tmp_path: Path) -> None:
    was, short = SHORT[what]

    lines = text(tmp_path / "short", was, short)

    whole = consolidate(shelve(tmp_path / "whole"), EDITION).decode().splitlines()
    at = whole.index(was.rstrip("\n"))
    assert lines[: at + 1] == whole[: at + 1]
    assert [line for line in lines[at + 1 :] if line and "from:" not in line] == [
        line for line in whole[at + 1 :] if line and "from:" not in line
    ]


def test_what_a_line_leaves_unsaid_is_as_in_the_last_whole_one_and_not_as_in_the_line_above(tmp_path: Path) -> None:
    lines = text(tmp_path, GROUND, "{ground: no, expect: not_extraneous}\n      - {surroundings: slab}")

    assert "      - {given: {metal: yes, ground: yes, surroundings: slab}, expect: {extraneous: extraneous}}" in lines


def test_a_new_fact_stands_behind_the_one_that_is_stated_before_it(tmp_path: Path) -> None:
    lines = text(tmp_path, GROUND, "{metal: yes, surroundings: slab}")

    assert "      - {given: {metal: yes, surroundings: slab, ground: yes}, expect: {extraneous: extraneous}}" in lines


WRONG = {
    "the first of a rule": (LIKED, "{ground: no}", "ground: no", "the first example of a rule is written whole"),
    "like a rule below": (
        LIKED,
        "{like: bond-size, ground: no}",
        "bond-size, ground",
        "no rule above is called `bond-size`",
    ),
    "like a rule that is misspelt": (LIKED, "{like: metal-from-grund}", "metal-from-grund", "; did you mean `metal-from-ground`?"),
    "unknown of what is not given": (
        GROUND,
        "{surroundings: unknown}",
        "surroundings: unknown",
        "`surroundings` is not given",
    ),
    "given without expectation": (GROUND, "{given: {metal: no}}", "{given: {metal: no}}", "write `expect` too"),
    "a fact that nobody declared": (GROUND, "{grund: yes}", "{grund", "`grund`"),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_short_example_that_cannot_be_written_out_is_refused_at_its_line(what: str, tmp_path: Path) -> None:
    was, short, words, told = WRONG[what]
    files = {**FILES, EDITION_FILE: FILES[EDITION_FILE].replace(was, f"      - {short}\n")}
    line = next(number for number, one in enumerate(files[EDITION_FILE].splitlines(), start=1) if words in one)

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(shelve(tmp_path, files), EDITION)

    assert str(refusal.value).startswith(f"{EDITION_FILE}:{line}:")
    assert told in str(refusal.value)


def test_a_bare_level_is_of_the_one_outcome_that_is_expected(tmp_path: Path) -> None:
    two = "      - {given: {metal: yes}, expect: {extraneous: extraneous, danger: none}}\n      - {ground: no, expect: not_extraneous}"

    with pytest.raises(UnreadableRules, match="name the outcome, as in"):
        text(tmp_path, GROUND, two.removeprefix("      - "))
