"""`bondwright rules list, show, history, diff, cases, consolidate`: what people are told of the rules."""

import json
import re
import shutil
from hashlib import sha256
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from tests.cli.small_rules import AMENDMENT, BASE, excused, publish, written

from bondwright.cli import main
from bondwright.cli.rules.choosing import editions
from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.meaning import unjudged
from bondwright.cli.rules.stricter import searched
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, consolidate, draft_pack, rules_folder
from bondwright.shelf.published import published_packs


@pytest.fixture(scope="module")
def published_once(data: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small rules folder with both editions published, to be copied."""
    folder = written(tmp_path_factory.mktemp("published") / "rules")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BONDWRIGHT_DATA", str(data))
        for edition in (BASE, AMENDMENT):
            assert publish(folder, edition) == 0
    return folder


@pytest.fixture
def published(rules: Path, published_once: Path) -> Path:
    """The small rules folder with both editions published."""
    return Path(shutil.copytree(published_once, rules, dirs_exist_ok=True))


def run(rules: Path, *arguments: str) -> int:
    """The exit status of a rules command in that folder."""
    return main(["rules", *arguments, "--rules", str(rules)])


def said(capsys: pytest.CaptureFixture[str], rules: Path, *arguments: str) -> str:
    """What a rules command prints that must end well."""
    capsys.readouterr()
    assert run(rules, *arguments) == 0
    return capsys.readouterr().out


def refused(capsys: pytest.CaptureFixture[str], rules: Path, *arguments: str) -> str:
    """Why a rules command is a wrong call."""
    capsys.readouterr()
    assert run(rules, *arguments) == 2
    return capsys.readouterr().err


def told(capsys: pytest.CaptureFixture[str], rules: Path, *arguments: str) -> Any:
    """The same as JSON."""
    return json.loads(said(capsys, rules, *arguments, "--format", "json"))


def changed(rules: Path, edition: str, old: str, new: str) -> RulePack:
    """The draft of an edition in which one text was put for another."""
    path = rules / f"{edition}.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return draft_pack(rules, edition)


def test_every_pack_and_draft_is_listed(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(published, AMENDMENT, "looked at twice", "looked at thrice")

    listed = told(capsys, published, "list")

    assert [pack["name"] for pack in listed["published"]] == ["book-first-r1", "book-second-r1"]
    assert {draft["name"]: draft["state"] for draft in listed["drafts"]} == {BASE: "draft, as published", AMENDMENT: "draft"}


def test_a_line_of_the_list_says_standard_time_rules_and_digest(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pack = published_packs(published)[1]

    out = said(capsys, published, "list")

    line = "book-second-r1 (published): BOOK 1:2020+A1:2022, usable from 2022-01-01, no end set, 4 rules, digest "
    assert f"{line}{pack.digest}\n" in out


def test_a_draft_that_cannot_be_read_is_listed_with_its_fault(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = published / f"{AMENDMENT}.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("open}", "never}"), encoding="utf-8")

    assert f"{AMENDMENT} (broken draft): {AMENDMENT}.yaml:7:34: " in said(capsys, published, "list")


def test_every_draft_of_this_installation_can_be_read() -> None:
    drafts = [draft_pack(rules_folder(), edition).pack_id for edition in editions(rules_folder())]

    assert len(set(drafts)) == len(drafts) > 5


def test_a_rule_is_shown_with_all_that_it_rests_on(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shown,) = told(capsys, published, "show", "metal-in-doubt")

    assert shown["says"] == "Metal is looked at twice."
    assert (shown["clause"], shown["source_title"]) == ("411.3.1", "A book that nobody wrote")
    assert (shown["source_kind"], shown["confidence"], shown["examples"]) == ("stated", "secondary", 2)
    assert shown["edited_at"] == f"{AMENDMENT}.yaml:12"
    lines = (published / shown["place"].partition(":")[0]).read_text(encoding="utf-8").splitlines()
    assert lines[int(shown["place"].partition(":")[2]) - 1].strip() == "- id: metal-in-doubt"


def test_a_pack_that_no_longer_reads_keeps_nobody_from_another(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = published / "published" / "book-first-r1.yaml"
    was = first.read_bytes()
    now = was.replace(b"\nrules:", b"\nrulez:")
    first.write_bytes(now)
    lock = (published / LOCK).read_text(encoding="utf-8")
    (published / LOCK).write_text(lock.replace(sha256(was).hexdigest(), sha256(now).hexdigest()), encoding="utf-8")

    (shown,) = told(capsys, published, "show", "metal-in-doubt", "--pack", "book-second-r1")

    assert shown["says"] == "Metal is looked at twice."
    assert run(published, "show", "metal-in-doubt", "--pack", "book-first-r1") == 1
    assert "published/book-first-r1.yaml:" in capsys.readouterr().err


def test_a_table_is_shown_as_it_is_written(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "      rows: [[35, 10], [50, 16], [above, 25]]\n" in said(capsys, published, "show", "bond-by-neutral")


def test_a_value_is_shown_in_its_unit(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shown,) = told(capsys, published, "show", "least")

    assert (shown["kind"], shown["value"], shown["unit"]) == ("value", 6.0, "mm2")


@pytest.mark.parametrize(
    ("clause", "names"),
    [
        ("544.1", {"bond-size", "least"}),
        ("Table 5", {"bond-size", "bond-by-neutral"}),
        ("411.3", {"metal-from-ground", "metal-in-doubt"}),
        ("411.3.1", {"metal-in-doubt"}),
    ],
)
def test_a_clause_finds_everything_that_names_it(published: Path, capsys: pytest.CaptureFixture[str], clause: str, names: set[str]) -> None:
    assert {shown["name"] for shown in told(capsys, published, "show", clause)} == names


def test_an_act_is_shown_with_what_programs_do_with_it(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (act,) = told(capsys, published, "show", "leave")

    assert (act["kind"], act["mark"], act["instruction"], act["says"]) == ("act", "leave", "leave", "Leave {part}.")
    assert act["written"] == ['leave: {mark: leave, line: "Leave {part}.", customer: "Nothing to do."}']


@pytest.mark.parametrize("clause", ["11.3", "44.1", "41"])
def test_a_piece_of_a_number_is_no_clause(published: Path, capsys: pytest.CaptureFixture[str], clause: str) -> None:
    assert f"`{clause}` is no rule, table, value, act, clause or other name of book-second-r1" in refused(capsys, published, "show", clause)


def test_what_is_shown_is_of_the_day(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (early,) = told(capsys, published, "show", "bond-size", "--on", "2021-12-31")
    (late,) = told(capsys, published, "show", "bond-size", "--on", "2022-01-01")

    assert (early["pack_id"], late["pack_id"]) == ("book-first-r1", "book-second-r1")


def test_other_packs_that_were_lawful_on_the_day_are_named(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(published, BASE, "to: 2021-12-31", "to: 2022-06-30")
    changed(published, BASE, "book-first-r1", "book-first-r2")
    excused(published, BASE, "book-first-r1", "change", "pack header usable_to")
    publish(published, BASE)

    out = said(capsys, published, "show", "bond-size", "--on", "2022-03-01")

    assert out.startswith("rule bond-size in book-second-r1 ")
    assert out.endswith("\nlawful on 2022-03-01 too, see them with --pack: book-first-r2\n")


def test_a_pack_that_is_named_goes_before_the_day(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shown,) = told(capsys, published, "show", "bond-size", "--pack", "book-first-r1")

    assert shown["pack_id"] == "book-first-r1"


def test_an_unknown_name_is_answered_with_the_nearest(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "did you mean `metal-in-doubt`?" in refused(capsys, published, "show", "metal-in-dout")


def test_what_stands_in_another_pack_alone_is_told(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    err = refused(capsys, published, "show", "metal-in-doubt", "--on", "2021-01-01")

    assert err.endswith("act, clause or other name of book-first-r1; it stands in book-second-r1\n")


def test_an_unknown_pack_is_answered_with_the_nearest(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "did you mean `book-second-r1`?" in refused(capsys, published, "show", "bond-size", "--pack", "book-second")


def test_a_day_before_every_pack_is_told(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "no published pack was usable on 1999-01-01" in refused(capsys, published, "show", "bond-size", "--on", "1999-01-01")


def test_a_date_that_is_none_is_a_wrong_call(published: Path) -> None:
    with pytest.raises(SystemExit, match="2"):
        run(published, "show", "bond-size", "--on", "soon")


def test_the_history_of_a_rule_names_each_step(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change = '  - withdraw: metal-in-doubt\n    was: "Metal is looked at twice."\n    clause: "1"\n'
    source = "    source: {from: small-book, kind: stated, confidence: secondary}\n"
    header = 'amends: book/second\npack:\n  id: book-third-r1\n  title: "T"\n  standard: "S"\n  usable: {from: 2023-01-01, to: open}\n'
    third = published / "book/third.yaml"
    third.write_text(f"{header}  review_by: 2026-06-30\nchanges:\n{change}{source}", encoding="utf-8")
    excused(published, "book/third", "book-second-r1", "outcome", "main_bonding")
    publish(published, "book/third")

    steps = told(capsys, published, "history", "metal-in-doubt")

    assert [step["is"] for step in steps] == ["not there", "added", "withdrawn"]


def test_the_history_of_a_rule_says_what_changed(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(published, AMENDMENT, "looked at twice", "looked at thrice")
    changed(published, AMENDMENT, "book-second-r1", "book-second-r2")
    publish(published, AMENDMENT)

    out = said(capsys, published, "history", "metal-in-doubt")

    assert out.endswith('  rule metal-in-doubt: says: was "Metal is looked at twice."; now "Metal is looked at thrice."\n')


def test_the_history_of_a_rule_tells_of_the_table_that_it_looks_up(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell = '{table: bond-by-neutral, up_to: above, was: 25, now: 35, clause: "Table 5", '
    source = "source: {from: small-book, kind: stated, confidence: secondary}}"
    changed(published, AMENDMENT, "# the end\n", f"  - set_cell: {cell}{source}\n")
    changed(published, AMENDMENT, "book-second-r1", "book-second-r2")
    pack = draft_pack(published, AMENDMENT)
    (published / "published" / f"{pack.pack_id}.yaml").write_bytes(pack.text)
    with (published / LOCK).open("a") as lock:
        lock.write(f"{pack.pack_id} {pack.digest} 2026-11-25\n")

    steps = told(capsys, published, "history", "bond-size")

    assert [(change["field"], change["was"], change["now"]) for change in steps[-1]["changes"]] == [("row above", "25", "35")]


def test_a_rule_without_history_is_answered_with_the_nearest(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "did you mean `bond-size`?" in refused(capsys, published, "history", "bond-sise")


def test_an_added_rule_is_a_difference_that_makes_something_stricter(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    difference = told(capsys, published, "diff", "book-first-r1", "book-second-r1")

    assert [(one["kind"], one["name"], one["field"]) for one in difference["changes"] if one["kind"] != "pack"] == [
        ("rule", "metal-in-doubt", "")
    ]
    (moved,) = difference["moved"]
    assert (moved["outcome"], moved["becomes"], moved["was"], moved["now"]) == ("main_bonding", "stricter", "not_required", "in_doubt")


def test_the_other_way_round_it_becomes_more_lenient(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (moved,) = told(capsys, published, "diff", "book-second-r1", "book-first-r1")["moved"]

    assert (moved["becomes"], moved["given"]) == ("more lenient", {"ground": "no"})


def test_a_row_that_shows_a_difference_gives_only_what_it_needs(rules: Path) -> None:
    old = draft_pack(rules, BASE)
    new = changed(rules, BASE, "[50, 16], [above, 25]", "[50, 20], [above, 25]")

    (moved,) = searched(old, new).moved

    assert list(moved.given) == ["neutral"]
    assert 35 < float(moved.given["neutral"].removesuffix(" mm2")) <= 50
    assert (moved.becomes, moved.was, moved.now) == ("stricter", "16 mm2", "20 mm2")


def test_a_moved_limit_is_found_at_its_edge(rules: Path) -> None:
    old = draft_pack(rules, BASE)
    new = changed(rules, BASE, "[[35, 10]", "[[36, 10]")

    (moved,) = searched(old, new).moved

    assert 35 < float(moved.given["neutral"].removesuffix(" mm2")) <= 36
    assert moved.becomes == "more lenient"


def test_a_difference_in_a_table_names_the_row(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    changed(rules, BASE, "[50, 16]", "[50, 20]")

    assert "  table bond-by-neutral: row up to 50: was 16; now 20\n" in said(capsys, rules, "diff", "book-first-r1", BASE)


def test_a_difference_in_the_header_is_told(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, published, "diff", "book-first-r1", "book-second-r1")

    assert "  pack header: standard: was BOOK 1:2020; now BOOK 1:2020+A1:2022\n" in out
    assert "  pack header: usable_to: was 2021-12-31; now nothing\n" in out


def test_a_difference_in_a_shared_file_is_told(rules: Path) -> None:
    old = draft_pack(rules, BASE)
    (rules / "outcomes.yaml").write_text(
        (rules / "outcomes.yaml").read_text(encoding="utf-8").replace("A wire is needed.", "A wire belongs there."), encoding="utf-8"
    )

    (change,) = changes(old, draft_pack(rules, BASE))

    assert (change.kind, change.name) == ("advice", "bond")


def with_instruction(rules: Path, instruction: str) -> RulePack:
    """The small draft, in which programs connect what is to be bonded, and do that with what is to be left."""
    path = rules / "outcomes.yaml"
    text = re.sub(
        r"(bond|leave): \{mark: (\w+), (?:instruction: \w+, )?", r"\1: {mark: \2, instruction: \1, ", path.read_text(encoding="utf-8")
    )
    text = text.replace("instruction: bond", "instruction: connect").replace("instruction: leave", f"instruction: {instruction}")
    path.write_text(text, encoding="utf-8")
    return draft_pack(rules, BASE)


@pytest.mark.parametrize(("was", "way_unknown"), [("ask", ("advice leave",)), ("keep", ())])
def test_an_act_with_which_programs_do_something_else_needs_a_reason(rules: Path, was: str, way_unknown: tuple[str, ...]) -> None:
    old, new = with_instruction(rules, was), with_instruction(rules, "keep")

    assert unjudged(old, new, changes(old, new)) == way_unknown


def test_a_rule_that_a_named_value_changes_is_told(rules: Path) -> None:
    old = changed(rules, BASE, "when: {all: []}", "when: {not: {neutral: {below: least}}}")
    new = changed(rules, BASE, "least: {value: 6 mm2", "least: {value: 4 mm2")

    value, rule = changes(old, new)

    assert (value.was, value.now) == ("6 mm2", "4 mm2")
    assert (rule.name, rule.field) == ("bond-size", "when")
    assert rule.now.endswith(" (through a value that it names)")


def test_another_wording_is_a_difference_that_moves_nothing(rules: Path) -> None:
    old = draft_pack(rules, BASE)
    new = changed(rules, BASE, "follows the neutral", "goes by the neutral")

    assert searched(old, new).rows == 0


def test_a_search_finds_the_same_every_time(published: Path) -> None:
    old, new = published_packs(published)

    assert searched(old, new) == searched(old, new)


def test_a_pack_does_not_differ_from_itself(published: Path, capsys: pytest.CaptureFixture[str]) -> None:
    difference = told(capsys, published, "diff", "book-first-r1", "book-first-r1")

    assert (difference["changes"], difference["moved"], difference["rows"]) == ([], [], 0)


def test_consolidating_prints_what_publishing_would_write(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, rules, "consolidate", AMENDMENT) == consolidate(rules, AMENDMENT).decode()


def own_case(folder: Path, expect: dict[str, Any]) -> Path:
    """A copy of the published packs with one worked case, which expects that of a steel gas pipe."""
    name = "a-steel-gas-pipe-with-its-meter-outside-is-bonded-where-it-enters.json"
    rules = folder / "own"
    for path in (rules_folder() / "published.lock", *(rules_folder() / "published").iterdir()):
        copy = rules / path.relative_to(rules_folder())
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(path.read_bytes())
    case = json.loads((rules_folder() / "bs7671" / "cases" / name).read_bytes())
    cases = rules / "bs7671" / "cases"
    cases.mkdir(parents=True)
    (cases / name).write_text(json.dumps({**case, "expect": expect}), encoding="utf-8")
    return rules


def test_a_case_that_comes_out_otherwise_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 1}})

    status = run(rules, "cases")

    out = capsys.readouterr().out
    assert status == 1
    assert re.search(
        r"WANTING .*\.json: .* By bs7671-2018-a4-r[0-9]+, .*\.json:1:[0-9]+: lowest of main_bond_size is 10, expected 1\n", out
    )
    assert out.endswith("cases: 2 checked, 1 wanting; 9 of 9 expectations compared\n")


def test_an_expectation_that_compares_nothing_is_told_with_its_place_beside_the_other_cases(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 10}})
    empty = rules / "bs7671" / "cases" / "empty.json"
    empty.write_text('{"claim": "Nothing.",\n "rests_on": "x", "installation": {},\n "near_miss": {}, "expect": {}}', encoding="utf-8")

    status = run(rules, "cases")

    out = capsys.readouterr().out
    assert status == 1
    assert "WANTING bs7671/cases/empty.json: bs7671/cases/empty.json:3:2: `near_miss` lacks `claim`\n" in out
    assert out.endswith("cases: 3 checked, 1 wanting; 9 of 9 expectations compared\n")


def test_a_case_that_no_published_pack_judges_is_wanting(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 10}})
    (path,) = (rules / "bs7671" / "cases").iterdir()
    path.write_text(path.read_text(encoding="utf-8").replace("2026-11-25", "1999-11-25"), encoding="utf-8")

    status = run(rules, "cases")

    out = capsys.readouterr().out
    assert status == 1
    assert "No published pack was in use on the day of this work" in out
    assert out.endswith("cases: 2 checked, 2 wanting; 0 of 9 expectations compared\n")


def test_a_description_that_is_refused_is_told_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 10}})
    (path,) = (rules / "bs7671" / "cases").iterdir()
    content = json.loads(path.read_bytes())
    content["installation"]["services"][0]["enters_as"] = "ivory"
    path.write_text(json.dumps(content, indent=1), encoding="utf-8")
    line = next(number for number, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1) if "ivory" in text)

    run(rules, "cases")

    assert f".json:{line}:5: the description is refused at `/services/0/enters_as`: write one of " in capsys.readouterr().out


def test_what_was_compared_is_counted_as_json_and_as_junit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 10}})

    counts = told(capsys, rules, "cases")
    suite = ElementTree.fromstring(said(capsys, rules, "cases", "--format", "junit"))

    assert counts == {"checked": 2, "expectations": 9, "compared": 9, "wanting": []}
    assert {one.get("name"): one.get("value") for one in suite.iter("property")} == {"expectations": "9", "compared": "9"}


def test_only_the_cases_of_a_packs_time_are_judged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = own_case(tmp_path, {"main_bond_size": {"lowest": 10}})

    assert "no worked case falls into that time" in refused(capsys, rules, "cases", "--pack", "bs7671-2018-r1")
