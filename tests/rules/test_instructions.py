"""What programs do with each act: as acts say, or as one frozen file says of earlier packs; never milder than the mark."""

import hashlib

import pytest
from tests.outlined import DONE_BY
from tests.rules.mini import FILES
from tests.rules.revisions import all_published, drafted, shelf

from bondwright.cli.rules.choosing import editions
from bondwright.rulebook.declared.acts import INSTRUCTIONS
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.declared.instructions import UNDECLARED_INSTRUCTIONS, undeclared_instructions
from bondwright.shelf.packs import load_pack, rules_folder
from bondwright.shelf.reading.advice import MARKS
from bondwright.shelf.withdrawn import withdrawn_packs

FROZEN = "f4d7e056e005e5a53d8828d2d118797b8b321acadf86481795467f15664aa322"


def without_instructions() -> str:
    """The text of the small pack as it was written before acts said what programs do with them."""
    text = "".join(FILES.values())
    for word in ("connect", "leave"):
        text = text.replace(f", instruction: {word}", "")
    return text


def test_the_file_never_changes_for_outlines_rest_on_it() -> None:
    assert hashlib.sha256((rules_folder() / UNDECLARED_INSTRUCTIONS).read_bytes()).hexdigest() == FROZEN


def test_the_file_has_every_act_of_the_packs_before_and_no_other() -> None:
    acts = {act for pack in all_published() if b"\n    instruction: " not in pack.text for act in pack.advice}

    assert undeclared_instructions(rules_folder()).by_act.keys() == acts


@pytest.mark.parametrize("pack_id", shelf())
def test_every_act_of_a_published_pack_has_an_instruction_that_carries_its_mark_out(pack_id: str) -> None:
    pack = shelf()[pack_id].whole()

    assert {act: one.instruction for act, one in pack.advice.items() if one.instruction not in DONE_BY[one.mark]} == {}


def test_packs_that_stand_use_every_instruction() -> None:
    heads = tuple(shelf().values())
    standing = [pack.whole() for pack in heads if pack.pack_id not in withdrawn_packs(rules_folder(), heads)]

    assert {one.instruction for pack in standing for one in pack.advice.values()} == set(INSTRUCTIONS)


def test_the_order_holds_every_instruction_and_mark_and_lets_nothing_pass_for_a_mark_that_is_bolder() -> None:
    no_milder = declaration(rules_folder()).instructions
    bold = {word for mark in ("do", "remove") for word in DONE_BY[mark]}

    assert list(no_milder) == list(INSTRUCTIONS)
    assert {mark for marks in no_milder.values() for mark in marks} == set(MARKS)
    assert {word for word, marks in no_milder.items() if word in bold and len(marks) > 1} == set()
    assert {word for mark, fitting in DONE_BY.items() for word in fitting if mark not in no_milder[word]} == set()


def test_a_pack_in_which_no_act_says_it_is_read_with_the_file() -> None:
    pack = load_pack(without_instructions().encode(), "older.yaml")

    assert {act: one.instruction for act, one in pack.advice.items()} == {"bond": "connect", "bond_shared": "connect", "leave": "leave"}


def test_an_act_that_the_file_does_not_name_is_stopped_at() -> None:
    text = without_instructions().replace("  bond_shared: {", "  bond_twice: {").replace("if_shared: bond_shared", "if_shared: bond_twice")

    assert load_pack(text.encode(), "older.yaml").advice["bond_twice"].instruction == "stop"


@pytest.mark.parametrize("edition", editions(rules_folder()))
def test_drafts_say_of_every_act_what_programs_do_with_it_and_the_same_as_the_file(edition: str) -> None:
    draft, older = drafted(edition), undeclared_instructions(rules_folder())

    assert draft.text.count(b"\n    instruction: ") == len(draft.advice)
    before = {act: one.instruction for act, one in draft.advice.items() if act in older.by_act}
    assert before and before == {act: older.by_act[act] for act in before}
