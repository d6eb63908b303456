"""A pack of format 4 has its texts in a language file: taken out when it is published, put back when it is read."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.rules.revisions import published
from tests.words.raised import EDITION, SENTENCES, copy_of, draft_of, file_of, pack_of, raised, text_of

from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.following import with_cases
from bondwright.cli.rules.publishing.meaning import unjudged
from bondwright.cli.rules.publishing.writing import files_of, write_together
from bondwright.cli.rules.written import written
from bondwright.errors import BondwrightError, UnreadableRules
from bondwright.members import replace
from bondwright.proofs.worked.reverting import reverted
from bondwright.rulebook.because import KeptCases, draft_text, rules_text
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, draft_pack, issued_text, load_pack, load_pack_in
from bondwright.shelf.published import on_shelf
from bondwright.shelf.words.joined import parts, words_file
from bondwright.shelf.words.shelved import with_words

ONE = 'act.bond.customer: "'
RULE = "reading-in-unsound-circumstances"


def refusal(text: bytes) -> str:
    """What is said to a published text."""
    with pytest.raises(UnreadableRules) as refused:
        load_pack(text, file_of())
    return str(refused.value)


def changed(change: Callable[[str], str]) -> bytes:
    """The published text with other words, their digest put right."""
    pack, words = parts(text_of())
    now = change(words.decode()).encode()
    assert now != words
    then, since = (hashlib.sha256(one).hexdigest().encode() for one in (words, now))
    return pack.replace(then, since) + now


def without(line: str) -> Callable[[str], str]:
    """The change that takes a line out."""
    return lambda words: re.sub(rf"^{re.escape(line)}.*\n", "", words, count=1, flags=re.MULTILINE)


def said_by_rules(pack: RulePack) -> list[tuple[str, str, str]]:
    """The texts of each rule."""
    return [(one.rule_id, one.says, one.other_view) for one in pack.rules]


def test_a_published_pack_says_what_its_draft_says() -> None:
    issued, draft = pack_of(), draft_of()

    assert said_by_rules(issued) == said_by_rules(draft)
    for name in ("facts", "asks", "advice", "readings", "cautions", "properties", "say", "note", "title"):
        assert getattr(issued, name) == getattr(draft, name), name
    assert [one.words for one in issued.outcomes.values()] == [one.words for one in draft.outcomes.values()]


def test_the_file_that_decides_has_no_sentence_of_an_answer() -> None:
    pack, _ = parts(text_of())

    assert f'says: "@rule.{RULE}.says"'.encode() in pack
    said = [one.says for one in draft_of().rules] + [one.line for one in draft_of().advice.values()] + [*draft_of().asks.values()]
    assert [line for line in said if len(line) > 30 and f'"{line}"'.encode() in pack] == []


def test_the_same_files_give_the_same_words() -> None:
    assert issued_text(draft_of()) == text_of()


def test_the_pack_names_the_digest_of_its_words() -> None:
    _, words = parts(text_of())

    assert pack_of().words == {"en": hashlib.sha256(words).hexdigest()}
    assert draft_of().words == {}


def test_words_that_are_not_those_of_the_pack_are_refused() -> None:
    text = text_of().replace(b"Bonds", b"Bones", 1) if b"Bonds" in parts(text_of())[1] else text_of() + b"# more\n"

    assert refusal(text) == (
        f"{words_file(file_of())}:1:1: the file differs from its digest under `words` in its pack; what was published is never edited"
    )


def test_a_missing_text_is_refused() -> None:
    assert (
        refusal(changed(without(ONE))) == f"{words_file(file_of())}:1:1: the file lacks the text `act.bond.customer`, which the pack says"
    )


def test_a_text_that_the_pack_does_not_say_is_refused_with_its_place() -> None:
    last = parts(text_of())[1].count(b"\n") + 1

    assert refusal(changed(lambda words: words + 'act.bonds.customer: "More."\n')) == (
        f"{words_file(file_of())}:{last}:1: the pack says no text `act.bonds.customer`"
    )


def test_a_text_that_stands_twice_is_refused_with_its_place() -> None:
    said = refusal(changed(lambda words: words + ONE + 'Twice."\n'))

    assert re.fullmatch(rf"{words_file(file_of())}:\d+:1: key `act\.bond\.customer` stands twice in one map; first at line \d+", said)


def test_a_text_or_another_code_in_the_place_of_a_code_is_refused() -> None:
    code = f'says: "@rule.{RULE}.says"'
    pack = text_of()

    for other in ("It proves nothing.", "@rule.low-reading-with-paths-on.says"):
        said = refusal(pack.replace(code.encode(), f'says: "{other}"'.encode()))
        assert re.search(rf":\d+:11: `{re.escape(other)}` stands where the code of the text does; write `@rule\.{RULE}\.says`$", said)


def test_a_published_pack_of_format_4_without_words_is_refused() -> None:
    assert "a published pack of format 4 has its texts in a language file" in refusal(draft_of().text)


def test_only_publishing_writes_the_digest_of_words() -> None:
    older = published("bs7671-2018-a4-r7").text + b'words: {en: "0"}\n'

    assert "`words` is written by publishing, from `format: 4` on; leave it out" in refusal(older)


def test_another_language_must_have_the_same_texts_and_slots() -> None:
    _, words = parts(text_of())
    french = (
        words.decode()
        .replace("language: en", "language: fr")
        .replace('sentence.heading_cautions: "CAUTIONS"', 'sentence.heading_cautions: "PRUDENCE"')
    )

    pack = load_pack_in(text_of(), file_of(), french.encode(), "fr.yaml")

    assert pack.say("heading_cautions") == "PRUDENCE"
    assert pack.words == {"fr": hashlib.sha256(french.encode()).hexdigest()}
    assert pack.digest == pack_of().digest


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (
            'sentence.bond_line: "Bond {bond}: {told}."',
            'sentence.bond_line: "Lien {bond}."',
            "`sentence.bond_line` lacks the slot `{told}`, which English has",
        ),
        (
            'sentence.bond_line: "Bond {bond}: {told}."',
            'sentence.bond_line: "Lien {lien}: {told}."',
            "`sentence.bond_line` has `{lien}`, which English has not; English has `{bond}`, `{told}`",
        ),
        ('sentence.heading_cautions: "CAUTIONS"\n', "", "the file lacks the text `sentence.heading_cautions`, which the pack says"),
        ("language: en", "language: English", "`English` is no language; write its short name, such as `en`"),
    ],
)
def test_a_mistake_in_another_language_is_refused(was: str, now: str, said: str) -> None:
    words = parts(text_of())[1].decode()
    assert was in words

    with pytest.raises(UnreadableRules) as refused:
        load_pack_in(text_of(), file_of(), words.replace(was, now).encode(), "fr.yaml")

    assert refused.value.detail == said
    assert refused.value.file == "fr.yaml"


def test_cases_go_before_the_words_and_proofs_look_at_neither() -> None:
    text = with_cases(text_of(), KeptCases(2, 9, "0" * 64))
    pack, words = parts(text)

    assert pack.endswith(b'# ---- cases\ncases: {claims: 2, expectations: 9, digest: "' + b"0" * 64 + b'"}\n')
    assert words == parts(text_of())[1]
    assert load_pack(text, file_of()).cases == KeptCases(2, 9, "0" * 64)
    assert draft_text(text) == draft_text(text_of()) == parts(text_of())[0]
    assert rules_text(text) == rules_text(text_of())
    assert b"\nwords:" not in rules_text(text)


def test_a_pack_on_the_shelf_is_read_with_its_words(tmp_path: Path) -> None:
    pack = load_pack(text_of(), file_of())
    lock = f"{pack.pack_id} {pack.digest} 2026-11-30\n".encode()
    (tmp_path / "published").mkdir()

    write_together(files_of(tmp_path, pack, b"{}") | {tmp_path / LOCK: lock})

    assert sorted(path.name for path in (tmp_path / "published").iterdir()) == [
        f"{pack.pack_id}{end}" for end in (".cases.json", ".en.yaml", ".yaml")
    ]
    (shelved,) = on_shelf(tmp_path)
    assert (shelved.note, shelved.digest, shelved.text) == (pack.note, pack.digest, pack.text)
    assert shelved.whole() == pack


def test_words_changed_or_gone_on_the_shelf_are_noticed(tmp_path: Path) -> None:
    pack = load_pack(text_of(), file_of())
    (tmp_path / "published").mkdir()
    write_together(files_of(tmp_path, pack, b"{}") | {tmp_path / LOCK: f"{pack.pack_id} {pack.digest} 2026-11-30\n".encode()})
    words = tmp_path / words_file(f"published/{pack.pack_id}.yaml")

    words.write_bytes(words.read_bytes().replace(b"CAUTIONS", b"COUSINS"))
    with pytest.raises(UnreadableRules, match=r"differs from its digest in `published.lock`"):
        on_shelf(tmp_path)
    words.unlink()
    with pytest.raises(UnreadableRules, match=rf"{words.name}:1:1: the file cannot be read; is it missing\?"):
        on_shelf(tmp_path)


def test_files_that_cannot_all_be_written_leave_none(tmp_path: Path) -> None:
    pack = load_pack(text_of(), file_of())
    (tmp_path / "published").mkdir()
    (tmp_path / "published" / f"{pack.pack_id}.yaml").mkdir()  # in the way of the pack itself

    with pytest.raises(BondwrightError, match="cannot be written"):
        write_together(files_of(tmp_path, pack, b"{}"))

    assert [path.name for path in (tmp_path / "published").glob(f"{pack.pack_id}*")] == [f"{pack.pack_id}.yaml"]


def test_a_rule_is_shown_with_its_words() -> None:
    rule = pack_of().rule(RULE)

    assert any(line.startswith(f'says: "{rule.says}') or f'says: "{rule.says}"' in line for line in written(pack_of(), rule.place))


def test_a_draft_without_sentences_is_refused(tmp_path: Path) -> None:
    (copy_of(raised(), tmp_path) / SENTENCES).unlink()

    with pytest.raises(UnreadableRules, match=r"a pack of format 4 has a section `sentences`; write it in `sentences.yaml`"):
        draft_pack(tmp_path, EDITION)


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("{size} for now", "For now", "sentence `size_for_now` lacks the slot `{size}`, which code has"),
        ("{size} for now", "{sise} for now", "sentence `size_for_now` has `{sise}`, which code has not; code has `{size}`, `{most}`"),
        ("  size_for_now:", "  size_for_no:", "code says no sentence `size_for_no`; did you mean `size_for_now`?"),
    ],
)
def test_a_mistake_in_a_sentence_is_refused_with_its_place(was: str, now: str, said: str, tmp_path: Path) -> None:
    path = copy_of(raised(), tmp_path) / SENTENCES
    text = path.read_text(encoding="utf-8")
    line = next(number for number, one in enumerate(text.splitlines(), start=1) if was in one and "size_for_now" in one)
    lines = text.splitlines(keepends=True)
    path.write_text("".join([*lines[: line - 1], lines[line - 1].replace(was, now), *lines[line:]]), encoding="utf-8")

    with pytest.raises(UnreadableRules) as refused:
        draft_pack(tmp_path, EDITION)

    assert (refused.value.file, refused.value.line, refused.value.detail) == (SENTENCES, line, said)


def test_other_words_are_a_difference_and_ask_for_no_reason() -> None:
    old = draft_of()
    rows = {name: dict(row) for name, row in old.properties["item_kinds"].items()}
    known, rows["solar_array"]["known"] = rows["solar_array"]["known"], "Another sentence."
    said = Sentences({**old.say.by_code, "heading_cautions": "MIND"})

    found = changes(old, new := replace(old, properties={**old.properties, "item_kinds": rows}, say=said))

    assert [one.line() for one in found] == [
        f"property item_kinds: solar_array known: was {known}; now Another sentence.",
        "sentence heading_cautions: says: was CAUTIONS; now MIND",
    ]
    assert unjudged(old, new, found) == ()


def test_another_cell_that_decides_asks_for_a_reason() -> None:
    old = draft_of()
    rows = {name: dict(row) for name, row in old.properties["materials"].items()}
    rows["copper"]["conducts"] = "no"
    new = replace(old, properties={**old.properties, "materials": rows})

    assert unjudged(old, new, changes(old, new)) == ("property materials",)


def test_a_pack_named_as_a_file_finds_its_words_beside_it_or_behind_it(tmp_path: Path) -> None:
    pack, words = parts(text_of())
    (tmp_path / "candidate.en.yaml").write_bytes(words)

    assert with_words(pack, tmp_path, "candidate.yaml") == text_of()
    assert with_words(text_of(), tmp_path / "elsewhere", "candidate.yaml") == text_of()
    assert with_words(b"pack: {}\n", tmp_path / "elsewhere", "older.yaml") == b"pack: {}\n"


def test_no_case_must_notice_other_words_of_a_table() -> None:
    old = draft_of()
    rows = {name: dict(row) for name, row in old.properties["item_kinds"].items()}
    rows["solar_array"]["known"] = "Another sentence."
    worded = replace(old, properties={**old.properties, "item_kinds": rows})
    other = {**rows, "radiator": {**rows["radiator"], "piped": "no"}}
    decided = replace(old, properties={**old.properties, "item_kinds": other})

    assert [one.what for one in reverted(old, worded)] == []
    assert [one.what for one in reverted(old, decided)] == ["property `item_kinds` has changed"]
