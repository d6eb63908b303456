"""A family's own file of those that editions share may state only what differs; the draft has the whole."""

from pathlib import Path

import pytest
from tests.rules.mini import EDITION, FILES, shelve

from bondwright.cli.rules.differences import changes
from bondwright.errors import UnreadableRules
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.packs import draft_pack
from bondwright.shelf.reading.nodes import read_nodes

OWN = "book/outcomes.yaml"
DIFFERS = """\
# What this family decides otherwise.
differs_from: outcomes.yaml
outcomes:
  extraneous:
    otherwise: {clause: "Part 3"}
  seen:
    of: part
    stage: judge
    levels: {none: "nothing", seen: "seen"}
    otherwise: {clause: "1", why: "nothing seen", source: {from: small-book, kind: our_reading, confidence: secondary}}
  fault: {otherwise: {why: "nothing found"}}
advice:
  bond: {customer: "An earth wire is needed."}
without:
  outcomes/extraneous: [unsettled]
  advice/bond: [ways_out]
"""


def family(folder: Path, text: str = DIFFERS) -> Path:
    """The small book whose family has that file of its own."""
    return shelve(folder, {**FILES, OWN: text})


def test_the_draft_has_the_whole_and_each_entry_in_its_place(tmp_path: Path) -> None:
    made = consolidated(family(tmp_path), EDITION)

    outcomes = made.root.entries["outcomes"]
    text = made.text.decode()
    assert made.root == read_nodes(made.text, made.name)
    assert list(outcomes.entries) == ["extraneous", "seen", "bond_size", "earth_resistance", "fault", "danger"]  # type: ignore[union-attr]
    assert '    otherwise: {clause: "Part 3", why: "no rule speaks", source: {from: small-book,' in text
    assert "treat as extraneous" not in text
    assert '  seen:\n    of: part\n    stage: judge\n    levels: {none: "nothing", seen: "seen"}\n' in text
    assert 'customer: "An earth wire is needed.", tests: ["Test {bond}."]' in text
    assert "# ---- book/outcomes.yaml\n" in text


def test_only_what_the_family_states_differs(tmp_path: Path) -> None:
    text = DIFFERS.partition("without:")[0]

    found = changes(draft_pack(shelve(tmp_path / "shared"), EDITION), draft_pack(family(tmp_path / "own", text), EDITION))

    assert [*dict.fromkeys((one.kind, one.name) for one in found)] == [
        ("outcome", "extraneous"),
        ("outcome", "seen"),
        ("outcome", "fault"),
        ("advice", "bond"),
    ]
    assert "outcome extraneous: otherwise_clause: was Part 2; now Part 3" in [one.line() for one in found]


def test_what_the_shared_file_says_later_is_the_familys_too(tmp_path: Path) -> None:
    folder = family(tmp_path, DIFFERS.partition("without:")[0])
    shared = folder / "outcomes.yaml"
    shared.write_text(shared.read_text().replace('"treat as extraneous"', '"treat as extraneous for now"'))

    assert "treat as extraneous for now" in consolidated(folder, EDITION).text.decode()


WRONG = {
    "what the shared file says too": ('clause: "Part 3"', 'clause: "Part 2"', "`clause` says here what the shared file says; leave it out"),
    "going without what is not there": ("[ways_out]", "[ways_oud]", "did you mean `ways_out`?"),
    "going without something nowhere": ("advice/bond:", "advise/bond:", "`advise/bond` leads nowhere in the shared file"),
    "another shared file": ("outcomes.yaml", "materials.yaml", "a file of this name differs from `outcomes.yaml`; name that one"),
    "a section that the file has not": ("advice:", "properties:", "has no key `properties`"),
    "a word that no rule file has": ('why: "nothing found"', 'whi: "nothing found"', "`whi`"),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_mistake_is_refused_at_its_line_in_the_familys_file(what: str, tmp_path: Path) -> None:
    right, wrong, told = WRONG[what]
    text = DIFFERS.replace(right, wrong, 1)
    assert text != DIFFERS

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(family(tmp_path, text), EDITION)

    line = next(number for number, one in enumerate(text.splitlines(), start=1) if wrong in one)
    assert str(refusal.value).startswith(f"{OWN}:{line}:")
    assert told in str(refusal.value)
