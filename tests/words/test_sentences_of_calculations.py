"""Sentences of calculations: a draft has them all, a published pack says its own and, where it lacks one, that of before."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.words.raised import EDITION, copy_of, draft_of, file_of, pack_of, raised, text_of

from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.packs import draft_pack, load_pack, rules_folder
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.sentences import undeclared_calculations

FILE = "sentences-of-calculations.yaml"
CODE = "step_its_length"
IN_PACK = f'  {CODE}: "@calculation.{CODE}"\n'


def published_with(pack: Callable[[str], str], words: Callable[[str], str]) -> RulePack:
    """The pack that a published text makes with other lines in both of its files, the digest of its words put right."""
    own, said = (one.decode() for one in parts(text_of()))
    now = words(said).encode()
    text = pack(own).replace(hashlib.sha256(said.encode()).hexdigest(), hashlib.sha256(now).hexdigest())
    return load_pack(text.encode() + now, file_of())


def without(line: str) -> Callable[[str], str]:
    """The change that takes a line out."""
    return lambda text: re.sub(rf"^{re.escape(line)}.*\n", "", text, count=1, flags=re.MULTILINE)


def test_a_published_pack_says_its_own() -> None:
    older = undeclared_calculations(rules_folder())

    assert pack_of().say(CODE) == draft_of().say(CODE) != older(CODE)
    assert f'calculation.{CODE}: "'.encode() in parts(text_of())[1]


def test_what_a_published_pack_lacks_is_said_as_before() -> None:
    pack = published_with(without(IN_PACK.rstrip("\n")), without(f"calculation.{CODE}:"))

    assert pack.say(CODE) == undeclared_calculations(rules_folder())(CODE)
    assert pack.say("step_stocked") == draft_of().say("step_stocked")


def test_what_is_no_longer_said_stays_in_a_published_pack() -> None:
    old = IN_PACK.replace(CODE, "step_of_old")

    pack = published_with(lambda text: text.replace(IN_PACK, IN_PACK + old), lambda text: text + 'calculation.step_of_old: "Old {one}"\n')

    assert pack.say(CODE) == draft_of().say(CODE)


def test_every_draft_has_every_sentence_with_a_code_of_its_own() -> None:
    read = declaration(rules_folder())

    assert draft_of().say.by_code.keys() == read.sentences.keys() | read.calculations.keys() | read.later_sentences.keys()


def test_a_draft_without_them_is_refused(tmp_path: Path) -> None:
    (copy_of(raised(), tmp_path) / FILE).unlink()

    with pytest.raises(UnreadableRules, match=rf"a draft has a section `calculations`; write it in `{FILE}`"):
        draft_pack(tmp_path, EDITION)


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (
            "less than {resistance} ohm: {words}",
            "less: {words}",
            "sentence `reading_less_than` lacks the slot `{resistance}`, which code has",
        ),
        (
            "less than {resistance} ohm: {words}",
            "less than {resistence} ohm: {words}",
            "sentence `reading_less_than` has `{resistence}`, which code has not; code has `{resistance}`, `{words}`",
        ),
        ("  reading_less_than:", "  reading_less_then:", "code says no sentence `reading_less_then`; did you mean `reading_less_than`?"),
    ],
)
def test_a_mistake_in_one_is_refused_with_its_place(was: str, now: str, said: str, tmp_path: Path) -> None:
    path = copy_of(raised(), tmp_path) / FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    (at,) = (number for number, line in enumerate(lines) if was in line and "reading_less_than:" in line)
    path.write_text("".join([*lines[:at], lines[at].replace(was, now), *lines[at + 1 :]]), encoding="utf-8")

    with pytest.raises(UnreadableRules) as refused:
        draft_pack(tmp_path, EDITION)

    assert (refused.value.file, refused.value.line, refused.value.detail) == (FILE, at + 1, said)


def test_a_sentence_that_is_left_out_is_named(tmp_path: Path) -> None:
    path = copy_of(raised(), tmp_path) / FILE
    path.write_text(without(f"  {CODE}:")(path.read_text(encoding="utf-8")), encoding="utf-8")

    with pytest.raises(UnreadableRules, match=f"`calculations` lacks `{CODE}`"):
        draft_pack(tmp_path, EDITION)
