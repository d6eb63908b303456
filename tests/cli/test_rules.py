"""`bondwright rules`: publish a pack, check the published ones."""

import shutil
from pathlib import Path

import pytest

from bondwright.cli import main
from bondwright.shelf.packs import published_packs, rules_folder

EDITION = "bs7671/2018-a4"


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """A rules folder of one's own, with nothing published yet."""
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder, ignore=shutil.ignore_patterns("published", "published.lock"))
    return folder


def publish(rules: Path, edition: str = EDITION) -> int:
    """The exit status of publishing an edition of that folder."""
    return main(["rules", "publish", edition, "--rules", str(rules)])


def change(rules: Path, key: str, value: str) -> int:
    """Gives the first `key` of the edition's file another value; the number of its line."""
    path = rules / f"{EDITION}.yaml"
    lines = path.read_text(encoding="utf-8").splitlines()
    number = next(number for number, line in enumerate(lines) if line.lstrip().startswith(f"{key}: "))
    lines[number] = f"{lines[number].partition(':')[0]}: {value}"
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return number + 1


def content(rules: Path) -> dict[str, bytes]:
    """Every file that publishing writes, by name."""
    return {path.name: path.read_bytes() for path in (*(rules / "published").iterdir(), rules / "published.lock")}


def test_what_is_published_can_be_loaded(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = publish(rules)

    (pack,) = published_packs(rules)
    assert status == 0
    assert capsys.readouterr().out.startswith(f"published {pack.pack_id}: {len(pack.rules)} rules, ")


def test_publishing_leaves_nothing_but_the_pack_and_the_lock(rules: Path) -> None:
    publish(rules)

    (pack,) = published_packs(rules)
    assert sorted(content(rules)) == [f"{pack.pack_id}.yaml", "published.lock"]


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
    change(rules, "id", "bs7671-2018-a4-r999")

    status = publish(rules)

    after = content(rules)
    assert status == 0
    assert sorted(after) == sorted([*before, "bs7671-2018-a4-r999.yaml"])
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
    assert capsys.readouterr().err.startswith(f"bondwright: {EDITION}.yaml:{line}:14: ")
    assert not (rules / "published").exists()


def test_an_edition_that_is_not_there_is_told(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = publish(rules, "bs7671/2099")

    assert status == 1
    assert "bs7671/2099.yaml:1:1: the file cannot be read" in capsys.readouterr().err


def test_checking_counts_what_each_pack_holds(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    capsys.readouterr()

    status = main(["rules", "check", "--rules", str(rules)])

    (pack,) = published_packs(rules)
    counts = f"{len(pack.rules)} rules, {len(pack.facts)} facts, {len(pack.outcomes)} outcomes, {len(pack.tables)} tables"
    assert (0, f"{pack.pack_id}: {counts}, digest {pack.digest}\n") == (status, capsys.readouterr().out)


def test_checking_finds_a_published_pack_that_was_changed(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    (path,) = (rules / "published").iterdir()
    path.write_bytes(path.read_bytes() + b"# a word\n")

    status = main(["rules", "check", "--rules", str(rules)])

    assert status == 1
    assert f"published/{path.name}:1:1: the file differs from its digest" in capsys.readouterr().err


def test_checking_finds_that_nothing_is_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "check", "--rules", str(rules)])

    assert (status, capsys.readouterr().err) == (1, "bondwright: no rule pack is published; publish one\n")


def test_the_packs_of_this_installation_are_in_order() -> None:
    assert main(["rules", "check"]) == 0
