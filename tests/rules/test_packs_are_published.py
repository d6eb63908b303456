"""Five editable files become one published file, and a published file never changes unnoticed."""

import hashlib
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import pytest
from tests.rules.mini import EDITION, EDITION_FILE, FILES, shelve
from tests.rules.revisions import all_published

from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.packs import consolidate, load_pack, rules_folder
from bondwright.shelf.published import on_shelf, published_packs
from bondwright.shelf.words.shelved import rules_counted


def published(folder: Path, name: str = "mini-first-r1", lock: str | None = None) -> Path:
    """`folder` with the mini pack published under `name`."""
    text = consolidate(shelve(folder), EDITION)
    (folder / "published").mkdir()
    (folder / "published" / f"{name}.yaml").write_bytes(text)
    line = f"{name} {hashlib.sha256(text).hexdigest()} 2026-01-02\n"
    (folder / "published.lock").write_text(line if lock is None else lock)
    return folder


def refusal(folder: Path) -> str:
    """What `published_packs` says of `folder`."""
    with pytest.raises(UnreadableRules) as refused:
        published_packs(folder)
    return str(refused.value)


def test_every_rule_points_to_the_line_of_its_id_in_the_edited_file(tmp_path: Path) -> None:
    source = FILES[EDITION_FILE].splitlines()

    pack = load_pack(consolidate(shelve(tmp_path), EDITION), "published/mini.yaml")

    assert {EDITION_FILE} == {rule.origin.file for rule in pack.rules}
    assert [f"  - id: {rule.rule_id}" for rule in pack.rules] == [
        source[rule.origin.line - 1].split(" #")[0].rstrip() for rule in pack.rules
    ]


def test_consolidating_only_adds_file_names_and_origins(tmp_path: Path) -> None:
    text = consolidate(shelve(tmp_path), EDITION).decode()

    kept = [line for line in text.splitlines() if not line.startswith("# ---- ") and not line.startswith('    from: "book/')]
    assert "".join(FILES.values()).splitlines() == kept


def test_the_files_follow_each_other_in_the_order_of_the_format(tmp_path: Path) -> None:
    text = consolidate(shelve(tmp_path), EDITION).decode()

    assert list(FILES) == [line.removeprefix("# ---- ") for line in text.splitlines() if line.startswith("# ---- ")]


def test_an_origin_stands_right_below_its_id_and_as_deep_as_the_other_keys(tmp_path: Path) -> None:
    lines = consolidate(shelve(tmp_path), EDITION).decode().splitlines()

    index = next(index for index, line in enumerate(lines) if "id: metal-from-ground" in line)
    assert lines[index + 1] == '    from: "book/first.yaml:22"'


def test_a_rule_without_an_origin_has_its_own_place(tmp_path: Path) -> None:
    text = consolidate(shelve(tmp_path), EDITION).decode()
    bare = "\n".join(line for line in text.splitlines() if not line.startswith('    from: "')) + "\n"

    pack = load_pack(bare.encode(), "bare.yaml")

    assert [rule.place for rule in pack.rules] == [rule.origin for rule in pack.rules]


def test_the_same_files_give_the_same_bytes_and_digest(tmp_path: Path) -> None:
    first, second = (consolidate(shelve(tmp_path / name), EDITION) for name in ("one", "two"))

    assert first == second
    assert hashlib.sha256(first).hexdigest() == load_pack(second, "any name.yaml").digest


def test_a_moved_comment_changes_the_digest(tmp_path: Path) -> None:
    text = consolidate(shelve(tmp_path), EDITION)

    assert load_pack(text, "a.yaml").digest != load_pack(b"# a word\n" + text, "a.yaml").digest


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    folder = shelve(tmp_path)
    (folder / "materials.yaml").unlink()

    with pytest.raises(UnreadableRules, match=r"materials\.yaml:1:1: the file cannot be read; is it missing\?"):
        consolidate(folder, EDITION)


def test_a_published_pack_is_read_with_its_whole_text(tmp_path: Path) -> None:
    (pack,) = published_packs(published(tmp_path))

    assert (pack.pack_id, pack.rules[0].place.file) == ("mini-first-r1", "published/mini-first-r1.yaml")
    assert (tmp_path / "published/mini-first-r1.yaml").read_bytes() == pack.text


def test_nothing_published_is_no_packs(tmp_path: Path) -> None:
    assert published_packs(tmp_path) == ()


def test_an_edited_published_pack_is_refused(tmp_path: Path) -> None:
    file = published(tmp_path) / "published/mini-first-r1.yaml"
    file.write_bytes(file.read_bytes() + b"# late thought\n")

    assert refusal(tmp_path).startswith("published/mini-first-r1.yaml:1:1: the file differs from its digest in `published.lock`, line 1")


def test_a_pack_without_a_line_in_the_lock_is_refused(tmp_path: Path) -> None:
    assert refusal(published(tmp_path, lock="")) == "published/mini-first-r1.yaml:1:1: pack `mini-first-r1` has no line in `published.lock`"


def test_a_line_without_its_pack_is_refused(tmp_path: Path) -> None:
    folder = published(tmp_path)
    (folder / "published/mini-first-r1.yaml").unlink()

    assert refusal(folder) == "published.lock:1:1: pack `mini-first-r1` has no file `published/mini-first-r1.yaml`"


def test_a_pack_under_another_name_is_refused(tmp_path: Path) -> None:
    assert "the file holds pack `mini-first-r1`; its name must be `mini-first-r1.yaml`" in refusal(published(tmp_path, "mini-first-r2"))


@pytest.mark.parametrize(
    "lock", ["mini-first-r1\n", f"mini-first-r1  {'0' * 64} 2026-01-02\n", f"mini-first-r1 {'0' * 63} 2026-01-02\n", "é\n"]
)
def test_a_spoilt_lock_line_is_refused_at_its_place(tmp_path: Path, lock: str) -> None:
    assert refusal(published(tmp_path, lock=lock)) == "published.lock:1:1: a line is `pack_id sha256 date`, with one space between"


def test_a_pack_locked_twice_is_refused(tmp_path: Path) -> None:
    line = f"mini-first-r1 {'0' * 64} 2026-01-02\n"

    assert refusal(published(tmp_path, lock=line * 2)) == "published.lock:2:1: pack `mini-first-r1` stands twice; first at line 1"


def test_the_rules_folder_of_a_checkout_holds_the_format() -> None:
    assert (rules_folder() / "FORMAT.md").is_file()


def test_the_head_of_every_published_pack_is_that_of_the_whole_pack() -> None:
    shelf = on_shelf(rules_folder())

    assert [heads(pack) for pack in shelf] == [heads(pack) for pack in all_published()]
    assert [rules_counted(pack.text) for pack in shelf] == [len(pack.rules) for pack in all_published()]
    assert len(shelf) >= 12


def heads(pack: PackHead) -> list[object]:
    """All that is known of a pack before its rules are read."""
    return [getattr(pack, field.name) for field in fields(PackHead)]


def test_a_pack_whose_rules_cannot_be_read_is_no_matter_until_they_are_asked_for(tmp_path: Path) -> None:
    folder = published(tmp_path)
    text = (folder / "published" / "mini-first-r1.yaml").read_bytes()
    spoilt = text.replace(b"rules:\n", b"rules:\n  - {id: 7, and: nothing}\n").replace(b"mini-first-r1", b"mini-first-r2")
    (folder / "published" / "mini-first-r2.yaml").write_bytes(spoilt)
    with (folder / "published.lock").open("a") as lock:
        lock.write(f"mini-first-r2 {hashlib.sha256(spoilt).hexdigest()} 2026-01-03\n")

    first, second = on_shelf(folder)

    assert first.whole().digest == hashlib.sha256(text).hexdigest()
    with pytest.raises(UnreadableRules, match=r"^published/mini-first-r2\.yaml:[0-9]+:[0-9]+: "):
        second.whole()


@pytest.mark.parametrize("change", [lambda path: path.write_bytes(path.read_bytes() + b"# more\n"), Path.unlink], ids=["changed", "gone"])
def test_a_pack_that_is_changed_while_it_is_in_use_is_refused_when_it_is_read(change: Callable[[Path], object], tmp_path: Path) -> None:
    folder = published(tmp_path)
    (pack,) = on_shelf(folder)
    change(folder / "published" / "mini-first-r1.yaml")

    for read in (pack.whole, pack.pieces):
        with pytest.raises(UnreadableRules, match=r"^published/mini-first-r1\.yaml:1:1: "):
            read()


def test_a_pack_that_was_read_stays_as_it_was(tmp_path: Path) -> None:
    folder = published(tmp_path)
    (pack,) = on_shelf(folder)
    whole = pack.whole()
    (folder / "published" / "mini-first-r1.yaml").unlink()

    assert pack.whole() is whole
    assert pack.whole().examples == whole.examples != {}


def test_a_head_is_refused_at_its_place_in_the_whole_file(tmp_path: Path) -> None:
    folder = published(tmp_path)
    path = folder / "published" / "mini-first-r1.yaml"
    spoilt = path.read_bytes().replace(b"usable: {from: ", b"usable: {from: the ")
    path.write_bytes(spoilt)
    (folder / "published.lock").write_text(f"mini-first-r1 {hashlib.sha256(spoilt).hexdigest()} 2026-01-02\n")
    line = next(number for number, text in enumerate(spoilt.splitlines(), start=1) if b"usable:" in text)

    with pytest.raises(UnreadableRules) as refused:
        on_shelf(folder)

    assert str(refused.value).startswith(f"published/mini-first-r1.yaml:{line}:")
