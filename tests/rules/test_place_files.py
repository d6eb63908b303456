"""A place of a family is one file, laid over its base: what it lists comes to what is there, and amendments change the whole."""

from pathlib import Path

import pytest
from tests.rules.mini import EDITION, EDITION_FILE, FILES, shelve

from bondwright.errors import UnreadableRules
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.packs import draft_pack
from bondwright.shelf.reading.nodes import read_nodes

PLACE = "book/places/cellar.yaml"
CELLAR = """\
# What is judged of a cellar.
facts:
  surroundings: {choices: [vault]}
  flooded: {of: part, kind: yes_no, meaning: "stands in water", ask: "Does it stand in water?"}
values:
  least_depth: {value: 2 m, clause: "7.1", source: {from: small-book, kind: stated, confidence: secondary}}
joined:
  - {duty: [extraneous], duty_firm: no, objection: [none], act: pump}
advice:
  pump: {mark: measure_first, instruction: look, line: "Pump {part} dry.", customer: "It has to be dry."}
without:
  advice/bond: [ways_out]
rules:
  # Water conducts.
  - id: flooded-metal
    raises: {extraneous: extraneous}
    when: {metal: yes, flooded: yes}
    clause: "7.1"
    says: "Metal in water leads to the ground."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {metal: yes, flooded: yes}, expect: {extraneous: extraneous}}
      - {flooded: no, expect: not_extraneous}
lenient:
  - since: r1
    change: "list of joints"
    because: "A cellar is looked at first."
    clause: "7.1"
    source: {from: small-book, kind: our_reading, confidence: secondary}
"""
AMENDMENT = """\
amends: "book/first"
pack: {id: mini-later-r2, title: "Later", standard: "BOOK 1:2024", usable: {from: 2024-01-01, to: open}, review_by: 2026-06-30, note: "-"}
changes:
  - withdraw: flooded-metal
    was: "Metal in water leads to the ground."
    clause: "7.1"
    source: {from: small-book, kind: stated, confidence: secondary}
"""


def family(folder: Path, text: str = CELLAR) -> Path:
    """The small book whose family judges a cellar besides, and a later edition of it."""
    return shelve(folder, {**FILES, PLACE: text, "book/later.yaml": AMENDMENT})


def test_the_draft_has_the_whole_and_reads_as_it_is_written(tmp_path: Path) -> None:
    made = consolidated(family(tmp_path), EDITION)

    text = made.text.decode()
    assert made.root == read_nodes(made.text, made.name)
    assert "choices: [soil, slab, free_air, vault]" in text
    assert text.index("id: part-in-doubt") < text.index("# Water conducts.\n  - id: flooded-metal\n") < text.index("# ---- vocabulary.yaml")
    assert f'    from: "{PLACE}:15"\n' in text
    assert "{given: {metal: yes, flooded: no}, expect: {extraneous: not_extraneous}}" in text
    assert "Measure." not in text


def test_of_rows_of_which_the_first_that_fits_decides_its_own_stand_first(tmp_path: Path) -> None:
    joined = consolidated(family(tmp_path), EDITION).text.decode().partition("\njoined:\n")[2]

    assert joined.startswith(
        "  - {duty: [extraneous], duty_firm: no, objection: [none], act: pump}\n  - {duty: [extraneous], duty_firm: yes,"
    )


def test_the_pack_judges_by_it(tmp_path: Path) -> None:
    pack = draft_pack(family(tmp_path), EDITION)

    assert "flooded-metal" in [rule.rule_id for rule in pack.rules]
    assert "flooded" in pack.facts and "pump" in pack.advice and "least_depth" in pack.values


def test_an_amendment_changes_what_a_place_says(tmp_path: Path) -> None:
    folder = family(tmp_path)

    assert "flooded-metal" not in [rule.rule_id for rule in draft_pack(folder, "book/later").rules]
    assert "flooded-metal" in [rule.rule_id for rule in draft_pack(folder, EDITION).rules]


def test_a_reason_of_a_place_is_given_for_its_step_alone(tmp_path: Path) -> None:
    folder = family(tmp_path)

    assert [(one.since, one.name) for one in draft_pack(folder, "book/later").lenient] == [("mini-later-r1", "list of joints")]
    assert not draft_pack(folder, EDITION).lenient


def test_the_reasons_of_an_edition_stand_before_those_of_its_places(tmp_path: Path) -> None:
    folder = family(tmp_path)
    own = CELLAR[CELLAR.index("lenient:") :].replace("since: r1", "since: mini-first-r1").replace("list of joints", "value touch_voltage")
    edition = folder / EDITION_FILE
    edition.write_text(edition.read_text().replace("mini-first-r1", "mini-first-r2") + own)

    made = consolidated(folder, EDITION)

    assert made.root == read_nodes(made.text, made.name)
    assert [(one.since, one.name) for one in draft_pack(folder, EDITION).lenient] == [
        ("mini-first-r1", "value touch_voltage"),
        ("mini-first-r1", "list of joints"),
    ]


def test_another_family_does_not_judge_it(tmp_path: Path) -> None:
    folder = shelve(tmp_path, {**FILES, "other/places/cellar.yaml": CELLAR})

    assert "flooded" not in draft_pack(folder, EDITION).facts


WRONG = {
    "what is there already": ('ask: "Does it stand', 'asks: "Does it stand', "`asks`"),
    "a section that no edition has": ("values:", "valus:", "has no key `valus`"),
    "going without what is not there": ("[ways_out]", "[ways_oud]", "did you mean `ways_out`?"),
    "a rule that is no block": ("  - id: flooded-metal", "  - {id: flooded-metal, x:", ""),
    "a reason about no step": ("since: r1", "since: mini-first-r1", "is no revision; a reason of a place begins with `- since: r9`"),
    "a clause said as it stands": ('clause: "7.1"\n    says', 'clause: ""\n    says', ""),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_mistake_is_refused_at_its_line_in_the_file_of_the_place(what: str, tmp_path: Path) -> None:
    right, wrong, told = WRONG[what]
    text = CELLAR.replace(right, wrong, 1)
    assert text != CELLAR

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(family(tmp_path, text), "book/later" if "reason" in what else EDITION)

    assert str(refusal.value).startswith(f"{PLACE}:"), str(refusal.value)
    assert told in str(refusal.value)


def test_what_the_base_says_already_is_refused(tmp_path: Path) -> None:
    text = CELLAR.replace("  flooded:", '  metal: {ask: "Is it metal?"}\n  flooded:')

    with pytest.raises(UnreadableRules, match=rf"^{PLACE}:4:\d+: `ask` says here what the shared file says; leave it out"):
        draft_pack(family(tmp_path, text), EDITION)
