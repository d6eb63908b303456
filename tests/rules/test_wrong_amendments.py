"""Each wrong change of an amendment is refused at its place, in words that say what the base has."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.rules.amended import (
    ADDED,
    AMENDMENT,
    AMENDMENT_FILE,
    CELL,
    HEADER,
    REPLACED,
    SET,
    VALUE,
    WITHDRAWN,
    amended,
    draft,
    line_of,
)
from tests.rules.mini import EDITION_FILE, FILES

from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import draft_pack


def test_a_mistake_in_an_added_rule_is_placed_in_the_amendment(tmp_path: Path) -> None:
    wrong = ADDED.replace("surroundings: soil}\n", "surroundings: soill}\n")

    with pytest.raises(UnreadableRules) as refusal:
        draft(tmp_path, wrong)

    line = line_of("soill", HEADER + wrong)
    column = (HEADER + wrong).splitlines()[line - 1].index("soill") + 1
    assert str(refusal.value).startswith(f"{AMENDMENT_FILE}:{line}:{column}: `soill` is no ")


def test_a_cell_that_makes_entries_fall_is_refused_at_the_change(tmp_path: Path) -> None:
    with pytest.raises(UnreadableRules) as refusal:
        draft(tmp_path, CELL.replace("now: 25", "now: 9"))

    assert str(refusal.value).startswith(f"{AMENDMENT_FILE}:10:65: entry 9 is smaller than 10 in the row before")


def test_a_mistake_in_the_base_is_placed_in_the_base(tmp_path: Path) -> None:
    base = FILES[EDITION_FILE].replace("  - id: bond-size\n", "  - id: bond-size\n    whem: {}\n")

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(amended(tmp_path, VALUE, {EDITION_FILE: base}), AMENDMENT)

    assert str(refusal.value).startswith(f"{EDITION_FILE}:{line_of('whem', base)}:5: a rule has no key `whem`")


WRONG = {
    "a withdrawal that expects other words": (
        WITHDRAWN,
        "worth",
        "worthy",
        '"The reading is',
        "the base has moved: rule `reading-missing`",
    ),
    "a replacement that expects other words": (REPLACED, "proves nothing.", "proves all.", '"A reading below', "at book/first.yaml:"),
    "a replacement under another id": (REPLACED, "- id: low-reference", "- id: lower-reference", "lower-", "keeps its id"),
    "a replacement by two rules": (
        REPLACED,
        "    with:\n",
        "    with:\n      - id: other-rule\n        when: {}\n",
        "- id: other-rule",
        "`with` is a list of one rule",
    ),
    "a cell that expects another entry": (CELL, "was: 16", "was: 10", "10,", "up to `50` has `16` at book/first.yaml:"),
    "a row that is not there": (CELL, "up_to: 50", "up_to: 60", "60,", "has no row up to `60`; it has `35`, `50`, `above`"),
    "a table that is not there": (CELL, "bond-by-neutral", "bond-by-line", "bond-by-line", "has no table `bond-by-line`; did you mean"),
    "a cell that is no number": (CELL, "now: 25", "now: '2,5'", "'2,5'", "`2,5` is no number as rule files write one"),
    "a value that expects another number": (VALUE, "was: 22 kohm", "was: 23 kohm", "23 kohm", "value `isolation_limit` is `22 kohm`"),
    "a value that is not there": (VALUE, "isolation_limit", "isolation_limits", "isolation_limits", "did you mean `isolation_limit`?"),
    "a value without its unit": (VALUE, "now: 7 kohm", "now: 7", "7, clause", "`7` lacks its unit"),
    "a value that stays as it is": (VALUE, "now: 7 kohm", "now: 22 kohm", "22 kohm, clause", "the change changes nothing"),
    "a change without a source": (
        VALUE,
        ", source: {from: small-book, kind: stated, confidence: secondary}",
        "",
        "{name",
        "lacks `source`",
    ),
    "a source that nobody declared": (VALUE, "from: small-book", "from: big-book", "big-book", "`big-book` is no declared source"),
    "a rule that is not there": (SET, "earth-resistance", "earth-resistence", "earth-resistence", "did you mean `earth-resistance`?"),
    "a field that expects other words": (
        SET,
        'was: "415.2"',
        'was: "415.3"',
        '"415.3"',
        '`clause` of rule `earth-resistance` is `"415.2"`',
    ),
    "a field that cannot be set": (SET, "      clause:", "      when:", "when", "`set` has no key `when`"),
    "another view of a rule that has none": (
        SET,
        "      clause:",
        "      other_view:",
        "{was",
        "rule `earth-resistance` has no `other_view`; `replace` the rule",
    ),
    "a set without a field": (
        f"  - set:\n      rule: earth-resistance\n{VALUE}",
        "set_value",
        "set_value",
        "set:",
        "`set` changes at least",
    ),
    "an id that the base has": (
        ADDED,
        "id: metal-in-soil",
        "id: bond-size",
        "bond-size",
        "rule `bond-size` stands already at book/first.yaml:",
    ),
    "an id that was withdrawn": (
        WITHDRAWN + ADDED,
        "id: metal-in-soil",
        "id: reading-missing",
        "reading-missing\n      raises",
        "rule `reading-missing` was withdrawn at book/second.yaml:10; an id is never used again",
    ),
    "a rule withdrawn twice": (WITHDRAWN * 2, "worth", "worth", "", "rule `reading-missing` was withdrawn at book/second.yaml:10"),
    "a rule withdrawn that others name": (
        WITHDRAWN.replace("reading-missing", "metal-from-ground").replace(
            "The reading is worth repeating.", "Metal that comes from the ground can bring in a potential."
        ),
        "withdraw",
        "withdraw",
        "",
        "`metal-from-ground` is no rule with `raises`",
    ),
    "an added rule in braces": (
        ADDED,
        "    - id: metal-in-soil\n",
        "    - {id: metal-in-soil}\n    - id: other\n",
        "id: metal",
        "write rule",
    ),
    "an added rule with an origin": (
        ADDED,
        "id: metal-in-soil\n",
        'id: metal-in-soil\n      from: "a:1"\n',
        "from: ",
        "written by publishing",
    ),
    "two changes in one": (WITHDRAWN, "    was:", "    replace: x\n    was:", "withdraw", "a change has exactly one of `add`, `withdraw`"),
    "a misspelt change": (VALUE, "set_value", "set_vallue", "set_vallue", "a change has no key `set_vallue`; did you mean `set_value`?"),
}


@pytest.mark.parametrize(("changes", "right", "wrong", "at", "says"), WRONG.values(), ids=WRONG)
def test_a_wrong_change_is_refused_at_its_place(tmp_path: Path, changes: str, right: str, wrong: str, at: str, says: str) -> None:
    assert right in changes
    text = changes.replace(right, wrong, 1)

    with pytest.raises(UnreadableRules) as refusal:
        draft(tmp_path, text)

    before = (HEADER + text)[: (HEADER + text).index(at, len(HEADER))]
    place = f"{AMENDMENT_FILE}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}: "
    assert says in str(refusal.value)
    assert str(refusal.value).startswith(place) or not at


@pytest.mark.parametrize(
    ("amends", "says"),
    [
        ("book/zeroth", "there is no file `book/zeroth.yaml` to amend"),
        ("book/second", "`book/second` leads back to this file; an amendment changes an earlier edition"),
        ("../book/first", "`../book/first` is no edition; write its file without the ending"),
    ],
)
def test_an_amendment_of_nothing_or_of_itself_is_refused(tmp_path: Path, amends: str, says: str) -> None:
    header = HEADER.replace("book/first", amends)

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(amended(tmp_path, "", {AMENDMENT_FILE: f"{header}  []\n"}), AMENDMENT)

    assert str(refusal.value).startswith(f"{AMENDMENT_FILE}:2:9: {says}")


def test_one_cell_does_not_make_its_table_better_backed(tmp_path: Path) -> None:
    base = FILES[EDITION_FILE].replace("confidence: checked_twice", "confidence: from_memory")

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(amended(tmp_path, CELL, {EDITION_FILE: base}), AMENDMENT)

    detail = "the table's other cells are `from_memory`; one cell cannot make it `secondary`"
    assert str(refusal.value) == f"{AMENDMENT_FILE}:10:{CELL.index('{from') + 1}: {detail}"


def test_a_value_that_shares_its_line_cannot_be_set(tmp_path: Path) -> None:
    base = FILES[EDITION_FILE].replace("values:\n", "values: {").replace("  isolation_limit:", "isolation_limit:", 1)
    base = base.replace("secondary}}\n  touch_voltage", "secondary}}, touch_voltage", 1).replace(
        "checked_once}}\nseries", "checked_once}}}\nseries"
    )

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(amended(tmp_path, VALUE, {EDITION_FILE: base}), AMENDMENT)

    assert "write `isolation_limit` on a line of its own" in str(refusal.value)


def test_a_rule_of_the_base_without_words_is_refused_where_it_stands(tmp_path: Path) -> None:
    base = FILES[EDITION_FILE].replace('    says: "The touch voltage over the current."\n', "")
    change = '  - set:\n      rule: earth-resistance\n      says: {was: "one", now: "another"}\n'

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(amended(tmp_path, change, {EDITION_FILE: base}), AMENDMENT)

    assert str(refusal.value).startswith(f"{EDITION_FILE}:{line_of('id: earth-resistance', base)}:5: a rule lacks `says`")


def test_a_base_without_rules_takes_no_rule(tmp_path: Path) -> None:
    base = f"{FILES[EDITION_FILE][: FILES[EDITION_FILE].index('rules:')]}rules: []\n"

    with pytest.raises(UnreadableRules, match=rf"^{AMENDMENT_FILE}:12:11: `{EDITION_FILE}` has no rule after which this one could stand"):
        draft_pack(amended(tmp_path, ADDED, {EDITION_FILE: base}), AMENDMENT)


def test_a_table_of_the_base_without_confidence_is_refused_where_it_stands(tmp_path: Path) -> None:
    base = FILES[EDITION_FILE].replace(", confidence: checked_twice", "")

    with pytest.raises(UnreadableRules, match=rf"^{EDITION_FILE}:{line_of('Table 5', base) + 1}:13: `source` lacks `confidence`"):
        draft_pack(amended(tmp_path, CELL, {EDITION_FILE: base}), AMENDMENT)


CHAIN = {EDITION_FILE: FILES[EDITION_FILE], AMENDMENT_FILE: HEADER + ADDED + WITHDRAWN + REPLACED + SET + CELL + VALUE}


@pytest.fixture(scope="module")
def chain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the small good pack and an amendment with one change of each kind."""
    return amended(tmp_path_factory.mktemp("chain"), "", CHAIN)


@given(data=st.data())
def test_a_damaged_base_or_amendment_is_still_good_or_refused_in_one_of_the_two(chain: Path, data: st.DataObject) -> None:
    file = data.draw(st.sampled_from(sorted(CHAIN)))
    lines = CHAIN[file].splitlines()
    index = data.draw(st.integers(0, len(lines) - 1))
    key = lines[index].partition(":")[0]
    lines[index : index + 1] = data.draw(st.sampled_from([[], [lines[index]] * 2, [f"  {lines[index]}"], [f"{key}: []"], [f"{key}: {{}}"]]))
    for name, text in {**CHAIN, file: "\n".join([*lines, ""])}.items():
        (chain / name).write_text(text, encoding="utf-8")

    try:
        draft_pack(chain, AMENDMENT)
    except UnreadableRules as error:
        assert error.file in CHAIN
