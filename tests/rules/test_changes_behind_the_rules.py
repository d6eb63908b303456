"""An amendment changes what stands behind the rules too: sentences of calculations, forms of clauses, places, roles."""

import shutil
from pathlib import Path

import pytest

from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.meaning import unjudged
from bondwright.errors import UnreadableRules
from bondwright.proofs.worked.reverting import reverted
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.packs import draft_pack, rules_folder

BASE = "bs7671/2018-a4"
NEXT = "bs7671/next"
HEAD = f"""\
amends: {BASE}
pack:
  id: bs7671-next-r1
  format: 4
  title: "Another"
  standard: "BS 7671:2018+A5"
  usable: {{from: 2030-01-01, to: open}}
  beside: [bs7671/2018-a4]
  review_by: 2031-01-01
changes:
"""

CHANGES = {
    "a sentence of calculations": (
        '  - change: {sentence_of_calculations: label_result}\n    was: "Result"\n    now: "What comes out"\n',
        ["sentence label_result: says: was Result; now What comes out"],
        (),
    ),
    "a form of clauses, added": (
        '  - add: {row_of: clauses/first}\n    with: "Annex {annex}"\n    before: "Table {table}"\n',
        ["clause forms first: entry: was nothing; now Annex {annex}"],
        (),
    ),
    "a form of clauses, changed": (
        '  - change: {row_of: clauses/first}\n    was: "BS {standard}"\n    now: "Guide {number}"\n',
        ["clause forms first: entry: was BS {standard}; now Guide {number}"],
        (),
    ),
    "a row of the acts of rooms": (
        "  - take_away: {row_of: joined_rooms}\n"
        "    was: {when: {supplementary_bonding: required}, firm: supplementary_bonding, once: any, act: room_bond_or}\n",
        ["list of joined_rooms: entry: was when supplementary_bonding required, firm supplementary_bonding, once any, act room_bond_or;"],
        ("list of joined_rooms",),
    ),
    "a duty of a place": (
        "  - change: {place: bath_or_shower}\n    was: {duties: {additional_protection: {inspected: no}}}\n"
        "    now: {duties: {additional_protection: {inspected: yes}}}\n",
        ["place bath_or_shower: duties additional_protection inspected: was no; now yes"],
        ("place bath_or_shower",),
    ),
    "what is shown of a place that is not judged": (
        "  - take_away: {place_not_judged: report}\n    was: room_report\n",
        ["place not judged report: removed"],
        ("place not judged report",),
    ),
    "what an outcome is to the work": (
        "  - change: {role: reading_reported}\n    was: reading_report\n    now: bond_report\n",
        ["role reading_reported: says: was reading_report; now bond_report"],
        ("role reading_reported",),
    ),
    "how a fact of a place is worked out": (
        "  - change: {fact: disconnection_met}\n    was: {from: {have: {disconnection_met: yes}}}\n"
        "    now: {from: {have: {protected: yes}}}\n",
        ["fact disconnection_met: from have disconnection_met: was yes; now nothing"],
        ("fact disconnection_met",),
    ),
    "an edition beside it": ("  []\n", ["pack header: beside: was bs7671/2018-a2, bs7671/2018-a3; now bs7671/2018-a4"], ()),
}


def amended(folder: Path, change: str) -> Path:
    """A copy of the rules with an amendment of the newest edition that makes the change."""
    copy = shutil.copytree(rules_folder(), folder / "rules", ignore=shutil.ignore_patterns("published", "cases", "calculations"))
    (copy / f"{NEXT}.yaml").write_text(HEAD + change, encoding="utf-8")
    return copy


def behind_the_head(text: bytes) -> bytes:
    """The text without what an edition says of itself and its reasons."""
    return text.partition(b"\nvalues:")[2].partition(f"# ---- {BASE}.yaml\nlenient:".encode())[0]


def drafts(folder: Path, change: str) -> tuple[RulePack, RulePack]:
    """The newest edition, and the amendment of it."""
    copy = amended(folder, change)
    return draft_pack(copy, BASE), draft_pack(copy, NEXT)


@pytest.mark.parametrize("kind", CHANGES)
def test_the_difference_names_it_and_publishing_asks_why_where_nobody_can_say_which_way_it_goes(kind: str, tmp_path: Path) -> None:
    change, told, asked = CHANGES[kind]
    base, new = drafts(tmp_path, change)

    found = changes(base, new)

    lines = [one.line() for one in found]
    assert [words for words in told if not any(line.startswith(words) for line in lines)] == [], lines
    assert unjudged(base, new, found) == asked


TAKEN_BACK = {
    "a row of the acts of rooms": ["list `joined_rooms` has changed"],
    "a duty of a place": ["place `bath_or_shower` has changed", "place `ordinary_room` has changed"],
    "a sentence of calculations": [],
    "a form of clauses, changed": [],
}


@pytest.mark.parametrize("kind", TAKEN_BACK)
def test_what_decides_is_taken_back_so_that_a_case_must_tell_it(kind: str, tmp_path: Path) -> None:
    base, new = drafts(tmp_path, CHANGES[kind][0])

    assert [one.what for one in reverted(base, new)] == TAKEN_BACK[kind]


@pytest.mark.parametrize("kind", [kind for kind, (change, *_) in CHANGES.items() if "was" in change or "with" in change])
def test_taken_out_it_leaves_the_text_as_it_was(kind: str, tmp_path: Path) -> None:
    copy = amended(tmp_path, CHANGES[kind][0])
    changed = consolidated(copy, NEXT).text

    (copy / f"{NEXT}.yaml").write_text(HEAD + "  []\n", encoding="utf-8")

    assert behind_the_head(consolidated(copy, NEXT).text) == behind_the_head(consolidated(copy, BASE).text)
    assert behind_the_head(changed) != behind_the_head(consolidated(copy, NEXT).text)


WRONG = {
    "what the base does not say": (
        '  - change: {sentence_of_calculations: label_result}\n    was: "Outcome"\n    now: "Result"\n',
        'the base has moved: sentence_of_calculations `label_result` says `"Result"` at sentences-of-calculations.yaml:26, not `"Outcome"`',
    ),
    "a slot that is left out": (
        '  - change: {sentence_of_calculations: label_step}\n    was: "Step {number}"\n    now: "Step"\n',
        "label_step",
    ),
    "a code that nothing says": (
        '  - add: {sentence_of_calculations: label_results}\n    with: "Results"\n',
        "code says no sentence `label_results`",
    ),
    "a name that is not there": (
        '  - change: {sentence_of_calculations: label_resullt}\n    was: "Result"\n    now: "Results"\n',
        "`bs7671/2018-a4.yaml` has no sentence_of_calculations `label_resullt`; did you mean `label_result`?",
    ),
    "a form that a clause still has": (
        '  - take_away: {row_of: clauses/first}\n    was: "Part {number}, definition"\n',
        "is no clause; one reads",
    ),
    "a way that leads to no list": (
        '  - add: {row_of: clauses}\n    with: "Annex {annex}"\n',
        "`clauses` is no list of rows; its lists are `clauses/first`, `clauses/later`, `clauses/references`",
    ),
    "a list whose rows have names": (
        '  - take_away: {row_of: rules/metal-from-ground}\n    was: "x"\n',
        "`rules/metal-from-ground` has no rows of this kind; a rule is added, withdrawn and replaced by changes of its own",
    ),
    "the pack itself": (
        '  - add: {row_of: pack/beside}\n    with: "x"\n',
        "`pack/beside` has no rows of this kind; an amendment states its own whole",
    ),
}


@pytest.mark.parametrize(("change", "words"), WRONG.values(), ids=WRONG)
def test_a_wrong_change_is_refused_at_its_place_with_a_way_out(change: str, words: str, tmp_path: Path) -> None:
    copy = amended(tmp_path, change)

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(copy, NEXT)

    place, _, said = str(refusal.value).partition(": ")
    assert words in said
    assert place.partition(":")[0] in (f"{NEXT}.yaml", "bs7671/2018.yaml")
