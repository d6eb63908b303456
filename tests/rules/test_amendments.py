"""An amendment changes its base only where the base has what each change expects; comments and places survive."""

from pathlib import Path

from tests.rules.amended import (
    ADDED,
    AMENDMENT,
    AMENDMENT_FILE,
    CELL,
    CITED,
    HEADER,
    REPLACED,
    SET,
    VALUE,
    WITHDRAWN,
    amended,
    draft,
    line_of,
)
from tests.rules.mini import EDITION, EDITION_FILE, FILES, shelve

from bondwright.shelf.packs import consolidate, draft_pack

THIRD = HEADER.replace("book/first", AMENDMENT).replace("mini-second-r1", "mini-third-r1")


def test_an_amendment_without_changes_is_its_base_under_another_name(tmp_path: Path) -> None:
    base, changed = draft_pack(shelve(tmp_path / "base"), EDITION), draft(tmp_path / "amended", "  []\n")

    assert [rule.rule_id for rule in base.rules] == [rule.rule_id for rule in changed.rules]
    assert (changed.pack_id, changed.standard, changed.note) == ("mini-second-r1", "BOOK 2:2022", "")


def test_an_added_rule_stands_last_and_points_to_the_amendment(tmp_path: Path) -> None:
    rule = draft(tmp_path, ADDED).rules[-1]

    assert rule.rule_id == "metal-in-soil"
    assert (rule.origin.file, rule.origin.line) == (AMENDMENT_FILE, line_of("id: metal-in-soil", HEADER + ADDED))


def test_a_withdrawn_rule_is_gone_and_the_published_file_says_who_withdrew_it(tmp_path: Path) -> None:
    folder = amended(tmp_path, WITHDRAWN)

    text = consolidate(folder, AMENDMENT).decode()
    assert not draft_pack(folder, AMENDMENT).has_rule("reading-missing")
    assert f"  # rule reading-missing is withdrawn: {AMENDMENT_FILE}:10, 9.1\n" in text


def test_a_replaced_rule_keeps_its_place_in_the_order_and_points_to_its_replacement(tmp_path: Path) -> None:
    base, changed = draft_pack(shelve(tmp_path / "base"), EDITION), draft(tmp_path / "amended", REPLACED)

    rule = changed.rule("low-reference")
    assert [one.rule_id for one in base.rules] == [one.rule_id for one in changed.rules]
    assert (rule.clause, rule.says) == ("9.2", "A low reading proves nothing.")
    assert (rule.origin.file, rule.origin.line) == (AMENDMENT_FILE, line_of("- id: low-reference", HEADER + REPLACED))


def test_clause_words_and_source_of_a_rule_are_set_and_it_still_stands_in_the_base(tmp_path: Path) -> None:
    rule = draft(tmp_path, SET).rule("earth-resistance")

    assert (rule.clause, rule.says, rule.source, rule.kind) == ("415.2.2", 'Fifty volts, "over" the current.', "practice", "our_reading")
    assert (rule.origin.file, rule.origin.line) == (EDITION_FILE, line_of("id: earth-resistance", FILES[EDITION_FILE]))


def test_one_cell_is_set_and_the_table_rests_on_the_change(tmp_path: Path) -> None:
    table = draft(tmp_path, CELL).tables["bond-by-neutral"]

    assert [(row.up_to, row.use) for row in table.rows] == [(35, 10), (50, 25), (None, 25)]
    assert (table.clause, table.confidence) == ("9.1", "secondary")


def test_a_value_is_set_with_its_clause_and_source(tmp_path: Path) -> None:
    value = draft(tmp_path, VALUE).values["isolation_limit"]

    assert (value.value, value.clause, value.kind) == (7000.0, "9.1", "stated")


def test_a_change_touches_no_line_but_its_own(tmp_path: Path) -> None:
    base = consolidate(shelve(tmp_path / "base"), EDITION).decode().splitlines()
    changed = consolidate(amended(tmp_path / "amended", VALUE + CELL), AMENDMENT).decode().splitlines()

    gone = [line.split(":")[0].strip() for line in base[line_of("values:", "\n".join(base)) :] if line not in changed]
    assert gone == ["isolation_limit", "clause", "source", "rows"]


def test_comments_of_the_base_and_of_an_added_rule_survive(tmp_path: Path) -> None:
    text = consolidate(amended(tmp_path, ADDED + WITHDRAWN + REPLACED + SET + CELL + VALUE), AMENDMENT).decode()

    own = ADDED.replace("metal-in-soil\n", "metal-in-soil # new\n")
    assert [comment for comment in ("# The edition's own file.", "# the plain case", "# A reading can show") if comment not in text] == []
    assert "id: metal-in-soil # new\n" in consolidate(amended(tmp_path, own), AMENDMENT).decode()


def test_the_published_file_names_every_file_of_the_chain(tmp_path: Path) -> None:
    lines = consolidate(amended(tmp_path, VALUE), AMENDMENT).decode().splitlines()

    assert lines[0] == f"# ---- {EDITION_FILE} + {AMENDMENT_FILE}"


def test_the_same_chain_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = (consolidate(amended(tmp_path / name, ADDED + WITHDRAWN + REPLACED + CELL), AMENDMENT) for name in ("one", "two"))

    assert first == second


def test_an_amendment_of_an_amendment_expects_what_the_first_one_made(tmp_path: Path) -> None:
    change = f"  - set_value: {{name: isolation_limit, was: 7 kohm, now: 8 kohm, {CITED}}}\n"

    pack = draft_pack(amended(tmp_path, VALUE + REPLACED, {"book/third.yaml": THIRD + change}), "book/third")

    assert (pack.pack_id, pack.values["isolation_limit"].value, pack.rule("low-reference").clause) == ("mini-third-r1", 8000.0, "9.2")


def test_a_family_brings_its_own_shared_file(tmp_path: Path) -> None:
    own = FILES["materials.yaml"].replace("plastic: {conducts: no}", "plastic: {conducts: unknown}")

    pack = draft_pack(shelve(tmp_path, {**FILES, "book/materials.yaml": own}), EDITION)

    assert pack.properties["materials"]["plastic"] == {"conducts": "unknown"}
