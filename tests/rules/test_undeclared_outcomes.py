"""Packs that were published before outcomes declared what is safe to act on are read with what one frozen file says."""

import hashlib

import pytest
from tests.rules.mini import FILES
from tests.rules.revisions import newest_revisions, published

from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import RulePack, Unsettled
from bondwright.shelf.outcomes import UNDECLARED, read_undeclared
from bondwright.shelf.packs import load_pack, rules_folder
from bondwright.shelf.published import PublishedPack, on_shelf
from bondwright.shelf.reading.nodes import read_nodes

FROZEN = "7bd7a4abf3b412a3f513e758cf51d038f97050908c3c6e6ff6df3c91e5b1dd4e"


def older(*changes: tuple[str, str]) -> RulePack:
    """The small pack as it would have been published before outcomes declared anything."""
    text = "".join(FILES.values())
    for was, now in (
        ('{act_on: not_shown, words: "treat as extraneous"}', '"treat as extraneous"'),
        ('{words: "a fault (code F1)", code: F1}', '"a fault"'),
        ('{act_on: not_judged, words: "not judged"}', '"not judged"'),
        *changes,
    ):
        assert text.count(was) == 1, was
        text = text.replace(was, now)
    return load_pack(text.encode(), "older.yaml")


def test_the_file_never_changes_for_answers_of_published_packs_rest_on_it() -> None:
    assert hashlib.sha256((rules_folder() / UNDECLARED).read_bytes()).hexdigest() == FROZEN


def test_an_outcome_that_the_file_does_not_name_is_not_shown_while_it_is_not_settled() -> None:
    pack = older(("  danger: {of: part, stage: judge,", '  danger: {of: part, stage: judge, unsettled: "in doubt",'))

    assert pack.outcomes["danger"].unsettled == Unsettled("not_shown", "in doubt")


def test_levels_that_an_older_pack_does_not_have_are_passed_over() -> None:
    outcome = older().outcomes["extraneous"]

    assert outcome.unsettled == Unsettled("not_shown", "treat as extraneous")


@pytest.mark.parametrize("pack", on_shelf(rules_folder()), ids=lambda pack: pack.pack_id)
def test_a_published_pack_has_a_code_wherever_its_words_name_one(pack: PublishedPack) -> None:
    for outcome in published(pack.pack_id).outcomes.values():
        for words, code in zip(outcome.words, outcome.codes, strict=True):
            assert (f"(code {code})" in words) if code else ("(code" not in words)


def test_every_outcome_of_the_file_is_one_of_a_published_pack() -> None:
    told = read_undeclared(read_nodes((rules_folder() / UNDECLARED).read_bytes(), UNDECLARED))

    assert told.keys() - {name for pack in newest_revisions() for name in pack.outcomes} == set()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("outcomes: {danger: {act_on: maybe}}", "undeclared.yaml:1:29: `maybe` is no value of `act_on`"),
        ("outcomes: {danger: {safe: [none]}}", "undeclared.yaml:1:20: outcome `danger` lacks `act_on`"),
        ("outcomes: {danger: {act_on: not_shown, codes: {bad: c2}}}", "undeclared.yaml:1:53: `c2` is no code"),
        ("danger: {act_on: not_shown}", "undeclared.yaml:1:1: the file has no key `danger`"),
    ],
)
def test_a_mistake_in_the_file_is_told_with_its_place(text: str, says: str) -> None:
    with pytest.raises(UnreadableRules) as refusal:
        read_undeclared(read_nodes(text.encode(), UNDECLARED))

    assert str(refusal.value).startswith(says)
