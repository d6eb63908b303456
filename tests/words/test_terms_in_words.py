"""What descriptions may say is put in the words of published packs, though their files hold codes in the place of texts."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.core.test_told import DEPTH
from tests.rules.raised import changed, raised
from tests.words.raised import EDITION, file_of, text_of

from bondwright.errors import UnreadableRules
from bondwright.installation.terms import Terms
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import consolidate, rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.words.joined import parts


@dataclass(frozen=True)
class File:
    """A published file, as far as its terms are asked."""

    text: bytes
    pack_id: str = Path(file_of()).stem

    @property
    def digest(self) -> str:
        """The SHA-256 of its bytes."""
        return hashlib.sha256(self.text).hexdigest()


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Terms:
    """The terms of a published edition that has a fact told, and calls a tap and a room otherwise."""
    folder = raised(tmp_path_factory.mktemp("raised") / "rules", DEPTH)
    changed(folder / "materials.yaml", 'tap: {judged: yes, words: "tap",', 'tap: {judged: yes, words: "mixer tap",')
    changed(folder / "materials.yaml", 'words: "room {number} with a bath', 'words: "wet room {number} with a bath')
    return terms_of((File(consolidate(folder, EDITION)),))


def test_the_question_of_a_told_fact_is_that_of_the_language_file(told: Terms) -> None:
    assert told.facts("item")["depth"].ask == "How deep is it?"


def test_a_kind_is_called_what_the_language_file_calls_it(told: Terms) -> None:
    assert told.called["item"]["tap"] == "mixer tap"


def test_a_kind_of_location_is_called_what_it_is_without_its_number(told: Terms) -> None:
    assert told.called["location"]["bath_or_shower"] == "wet room with a bath or shower"


def test_the_newest_pack_decides_what_a_word_is_called() -> None:
    older = File(text_of().replace(b'.tap.words: "tap"', b'.tap.words: "old tap"'))

    assert terms_of((older, File(text_of()))).called["item"]["tap"] == "tap"
    assert terms_of((File(text_of()), older)).called["item"]["tap"] == "old tap"


def test_packs_that_declare_no_words_call_nothing_anything() -> None:
    packs = [pack for pack in on_shelf(rules_folder()) if not parts(pack.text)[1]]

    assert packs != []
    assert [words for words in terms_of(packs).called.values() if words] == []


def test_a_text_that_the_language_file_lacks_is_refused_with_its_code() -> None:
    text = text_of().replace(b"row.item_kinds.tap.words:", b"row.item_kinds.tip.words:")

    with pytest.raises(UnreadableRules, match=r"\.yaml:1:1: the language file lacks the text `row\.item_kinds\.tap\.words`"):
        terms_of((File(text),))


def test_entries_that_do_not_each_stand_on_lines_of_their_own_are_read_all_the_same() -> None:
    text = text_of()
    fact = next(line for line in text.split(b"\n") if line.startswith(b"  ") and b": {" in line and b", told: " in line)
    row = next(line for line in text.split(b"\n") if line.startswith(b"    tap: {"))
    laid_out = text.replace(fact, fact.replace(b", told: ", b",\n  told: ")).replace(row, row.replace(b", ", b",\n  ", 1))

    assert laid_out.count(b"\n") == text.count(b"\n") + 2
    assert terms_of((File(laid_out),)).told == terms_of((File(text),)).told
    assert terms_of((File(laid_out),)).called == terms_of((File(text),)).called
