"""`bondwright rules check` and `publish`: a pack is published whole, once, and only if every check passes."""

import json
import sys
from hashlib import sha256
from pathlib import Path
from xml.etree import ElementTree

import pytest
from tests.cli.small_rules import AMENDMENT, BASE, publish

from bondwright.cli import main
from bondwright.rulebook.because import rules_text
from bondwright.shelf.published import published_packs


def check(rules: Path, *options: str) -> int:
    """The exit status of checking that folder."""
    return main(["rules", "check", "--rules", str(rules), *options])


def change(rules: Path, key: str, value: str) -> int:
    """Gives the first `key` of the amendment's file another value; the number of its line."""
    path = rules / f"{AMENDMENT}.yaml"
    lines = path.read_text(encoding="utf-8").splitlines()
    number = next(number for number, line in enumerate(lines) if line.lstrip().startswith(f"{key}: "))
    lines[number] = f"{lines[number].partition(':')[0]}: {value}"
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return number + 1


def unnoticed(rules: Path) -> None:
    """Takes away the example that shows why a part must be metal."""
    path = rules / f"{BASE}.yaml"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(line for line in lines if "metal: no, ground: yes" not in line), encoding="utf-8")


def content(rules: Path) -> dict[str, bytes]:
    """Every file that publishing writes, by name."""
    return {path.name: path.read_bytes() for path in (*(rules / "published").iterdir(), rules / "published.lock")}


def test_what_is_published_can_be_loaded(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = publish(rules)

    (pack,) = published_packs(rules)
    assert status == 0
    assert f"\npublished {pack.pack_id}: {len(pack.rules)} rules, " in capsys.readouterr().out


def test_publishing_leaves_nothing_but_the_pack_what_is_kept_of_its_cases_and_the_lock(rules: Path) -> None:
    publish(rules)

    (pack,) = published_packs(rules)
    assert sorted(content(rules)) == [f"{pack.pack_id}.cases.json", f"{pack.pack_id}.yaml", "published.lock"]


def test_publishing_again_changes_nothing(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    before = content(rules)
    capsys.readouterr()

    status = publish(rules)

    assert status == 0
    assert before == content(rules)
    assert capsys.readouterr().out.startswith("nothing to do: ")


def test_a_published_pack_is_not_published_with_other_content(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    before = content(rules)
    change(rules, "review_by", "2099-12-31")

    status = publish(rules)

    assert status == 1
    assert before == content(rules)
    assert capsys.readouterr().err.endswith("is published with other content; raise the revision in its `id`\n")


def test_a_new_revision_is_published_beside_the_old_one(rules: Path) -> None:
    publish(rules)
    before = content(rules)
    change(rules, "id", "book-second-r999")

    status = publish(rules)

    after = content(rules)
    assert status == 0
    assert sorted(after) == sorted([*before, "book-second-r999.cases.json", "book-second-r999.yaml"])
    assert {name: after[name] for name in before if name.endswith(".yaml")}.items() <= before.items()
    assert after["published.lock"].startswith(before["published.lock"])


def test_a_pack_whose_lock_line_was_never_written_is_published_again(rules: Path) -> None:
    publish(rules)
    before = content(rules)
    (rules / "published.lock").unlink()

    publish(rules)

    assert before == content(rules)


def test_a_mistake_is_told_with_its_place_in_the_edited_file(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = change(rules, "review_by", "soon")

    status = publish(rules)

    assert status == 1
    assert capsys.readouterr().err.startswith(f"bondwright: {AMENDMENT}.yaml:{line}:14: ")
    assert not (rules / "published").exists()


def test_an_edition_that_is_not_there_is_told(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = publish(rules, "book/2099")

    assert status == 1
    assert "book/2099.yaml:1:1: the file cannot be read" in capsys.readouterr().err


def test_a_pack_with_an_untrue_example_is_not_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = rules / f"{BASE}.yaml"
    text = path.read_text(encoding="utf-8")
    true = "35.1 mm2}, expect: {bond_size: 16}"
    line = text[: text.index(true)].count("\n") + 1
    path.write_text(text.replace(true, true.replace("16", "10")), encoding="utf-8")

    status = publish(rules, BASE)

    out = capsys.readouterr().out
    assert status == 1
    assert f"{BASE}.yaml:{line}:9: examples: rule `bond-size`: bond_size is 16.0, expected 10.0" in out
    assert "\nnothing was published" in out
    assert not (rules / "published").exists()


def test_a_pack_whose_examples_would_not_notice_a_mistake_is_not_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    unnoticed(rules)

    status = publish(rules, BASE)

    assert status == 1
    assert "mutants: no example notices" in capsys.readouterr().out
    assert not (rules / "published").exists()


def test_a_header_that_nobody_filled_in_is_not_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change(rules, "title", '"FILL-IN"')

    status = publish(rules)

    assert status == 1
    assert "the title or the standard still says FILL-IN" in capsys.readouterr().out


def test_checking_counts_what_each_pack_holds(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    publish(rules)
    capsys.readouterr()

    status = check(rules)

    lines = [
        f"{pack.pack_id}: {len(pack.rules)} rules, {len(pack.facts)} facts, {len(pack.outcomes)} outcomes, "
        f"{len(pack.tables)} tables, digest {pack.digest}"
        for pack in published_packs(rules)
    ]
    assert (0, [*lines, "rules: 2 checked, 0 wanting"]) == (status, capsys.readouterr().out.splitlines())


def test_checking_finds_a_published_pack_that_was_changed(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    path = rules / "published" / "book-second-r1.yaml"
    path.write_bytes(path.read_bytes() + b"# a word\n")

    status = check(rules)

    assert status == 1
    assert f"published/{path.name}:1:1: the file differs from its digest" in capsys.readouterr().out


def test_checking_finds_that_what_was_kept_of_the_cases_was_changed(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    path = rules / "published" / "book-second-r1.cases.json"
    path.write_bytes(path.read_bytes() + b"\n")

    status = check(rules)

    assert status == 1
    assert f"WANTING published/{path.name}: published/{path.name}:1:1: the file differs from its digest" in capsys.readouterr().out


def test_checking_finds_that_nothing_is_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = check(rules)

    assert status == 1
    assert "WANTING published: no rule pack is published; publish one\n" in capsys.readouterr().out


def test_checking_goes_on_after_a_draft_that_cannot_be_read(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    line = change(rules, "review_by", "soon")
    capsys.readouterr()

    status = check(rules)

    out = capsys.readouterr().out
    assert status == 1
    assert f"WANTING {AMENDMENT}: {AMENDMENT}.yaml:{line}:14: `soon` is no date" in out
    assert out.endswith("rules: 2 checked, 1 wanting\n")


def test_a_full_check_tells_what_was_counted(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules, BASE)
    publish(rules)
    capsys.readouterr()

    status = check(rules, "--full")

    assert status == 0
    assert "  information: " in capsys.readouterr().out


def test_what_was_proved_is_kept_by_the_digest_of_the_rules(rules: Path, data: Path) -> None:
    publish(rules)

    check(rules, "--full")

    kept = {path.name.partition("-")[0] for path in (data / "proofs").glob("*-full.json")}
    assert {sha256(rules_text(pack.text)).hexdigest() for pack in published_packs(rules)} <= kept


@pytest.mark.parametrize("module", ["check", "solver.direction"])
def test_without_the_solver_nothing_is_published(
    rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], module: str
) -> None:
    publish(rules, BASE)
    before = content(rules)
    monkeypatch.setitem(sys.modules, f"bondwright.proofs.{module}", None)  # as if importing it failed

    status = publish(rules)

    assert status == 2
    assert "install Bondwright with its extra `rules`" in capsys.readouterr().err
    assert content(rules) == before


def test_a_check_is_told_as_json(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    check(rules, "--format", "json")

    told = json.loads(capsys.readouterr().out)
    assert told == {"checked": 3, "wanting": [{"name": "published", "fault": "no rule pack is published; publish one"}]}


def test_a_check_is_told_as_junit(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    check(rules, "--format", "junit")

    suite = ElementTree.fromstring(capsys.readouterr().out)
    assert (suite.get("tests"), suite.get("failures")) == ("3", "1")
    assert [failure.get("message") for failure in suite.iter("failure")] == ["no rule pack is published; publish one"]
