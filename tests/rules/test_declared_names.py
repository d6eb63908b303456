"""A pack of the fourth format names its outcomes, metals and items as it likes: what they are to the work stands in its files."""

import json
import re
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from tests.calculations.worked import worked_by
from tests.core.cases import cases
from tests.described import terms
from tests.opened import in_place
from tests.rules.raised import changed, raised
from tests.rules.revisions import published

from bondwright.conclude.concluding import plainly
from bondwright.errors import Contradiction, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.facts.conductors import size_between
from bondwright.installation.reading import read_installation
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, draft_pack, load_pack, rules_folder

OUTCOMES = {
    "main_bonding": "duty_to_join",
    "bond_connection": "bond_reaches",
    "bond_compliance": "bond_fits",
    "bond_report": "bond_noted",
    "bond_removal": "bond_goes",
    "reading_found": "reading_says",
    "reading_report": "reading_noted",
    "test_to_make": "look_to_take",
    "required_earthing_conductor": "earthing_asked",
    "main_bond_size": "joining_size",
    "earthing_conductor_size": "earthing_size",
    "feeder_conductor": "feeder_large",
    "feeder_separation": "feeder_apart",
}
"""Other names for outcomes of the drafts, none of which means anything else in their rules."""
EDITION = "bs7671/2018-a4"
_WHEREABOUTS = ("pack_id", "pack_digest", "file", "line", "origin", "digest", "words")
OF_PLACES = tuple(f"bs7671/places/{path.name}" for path in sorted((rules_folder() / "bs7671" / "places").glob("*.yaml")))
"""The files of places of the family."""
RENAMED = ("bs7671/2018.yaml", *(f"bs7671/2018-a{number}.yaml" for number in (1, 2, 3, 4)), "outcomes.yaml", *OF_PLACES)
"""The files in which outcomes stand."""


@pytest.fixture(scope="module")
def fourth(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the rules in the fourth format, not to be changed."""
    return raised(tmp_path_factory.mktemp("fourth") / "rules")


@pytest.fixture
def folder(fourth: Path, tmp_path: Path) -> Path:
    """A copy of it to change."""
    return Path(shutil.copytree(fourth, tmp_path / "rules"))


@pytest.fixture(scope="module")
def plain(fourth: Path) -> RulePack:
    """What publishing it unchanged would give."""
    return pack(fourth)


def pack(folder: Path) -> RulePack:
    """What publishing the newest edition of that folder would give."""
    return load_pack(consolidate(folder, EDITION), f"draft of {EDITION}.yaml")


def answer(described: Any, judging: RulePack) -> dict[str, Any]:
    """The answer by a pack, without where the pack and its rules are; what it or the description lacks, where that is said."""
    try:
        told = evaluate(read_installation(json.dumps(described).encode(), terms()), judging, plainly(judging))
    except Contradiction as refused:
        return {"refused": str(refused)}
    return json.loads(json.dumps(in_place(told)), object_hook=lambda one: {key: one[key] for key in one if key not in _WHEREABOUTS})  # type: ignore[no-any-return]


def machine_words(said: Any) -> Any:
    """What is said but for its sentences: whatever has no space in it."""
    match said:
        case dict():
            return {key: machine_words(one) for key, one in said.items()}
        case list():
            return [machine_words(one) for one in said]
        case str() if " " in said:
            return ""
        case _:
            return said


def in_other_words(text: str, names: Mapping[str, str]) -> str:
    """The text with other words for some names."""
    return re.sub(rf"\b({'|'.join(names)})\b", lambda found: names[found[0]], text)


def refused(folder: Path) -> str:
    """What is said of the rules in a folder, which are refused."""
    with pytest.raises(UnreadableRules) as error:
        draft_pack(folder, EDITION)
    return str(error.value)


# --- outcomes ---


def test_a_pack_of_the_fourth_format_decides_as_that_of_the_third_does_whose_sentences_are_longer() -> None:
    new, old = published("bs7671-2018-a4-r8"), published("bs7671-2018-a4-r7")

    for one in cases()[::6]:
        assert machine_words(answer(one.claim.installation, new)) == machine_words(answer(one.claim.installation, old)), one.file


def test_outcomes_are_called_as_the_pack_likes(folder: Path, plain: RulePack) -> None:
    for name in RENAMED:
        text = (folder / name).read_text(encoding="utf-8")
        (folder / name).write_text(in_other_words(text, OUTCOMES), encoding="utf-8")
    other = pack(folder)
    some = cases()[::6]

    assert not OUTCOMES.keys() & other.outcomes.keys()
    back = {new: old for old, new in OUTCOMES.items()}
    for one in some:
        said = json.loads(in_other_words(json.dumps(answer(one.claim.installation, other)), back))
        assert said == answer(one.claim.installation, plain), one.file


def test_sizes_are_calculated_by_outcomes_of_any_name(folder: Path, plain: RulePack) -> None:
    inputs = {"pme_conditions": "apply", "neutral_mm2": 25}
    for name in RENAMED:
        text = (folder / name).read_text(encoding="utf-8")
        (folder / name).write_text(in_other_words(text, OUTCOMES), encoding="utf-8")

    other = worked_by(pack(folder), "main-bond-size", **inputs)

    assert other.results == worked_by(plain, "main-bond-size", **inputs).results


def test_a_pack_of_the_fourth_format_says_what_its_outcomes_are(folder: Path) -> None:
    for name in ("outcomes.yaml", *OF_PLACES):
        text = (folder / name).read_text(encoding="utf-8")
        (folder / name).write_text(re.sub(r"^roles:\n(  .*\n)+", "", text, flags=re.MULTILINE), encoding="utf-8")

    assert "`roles` lacks `extraneity`, which is read by name" in refused(folder)


def test_a_role_is_that_of_an_outcome_which_is_there(folder: Path) -> None:
    changed(folder / "outcomes.yaml", "  duty: main_bonding\n", "  duty: main_bondin\n")

    assert "`main_bondin` is no outcome; did you mean `main_bonding`?" in refused(folder)


def test_a_role_that_nobody_asks_for_is_refused(folder: Path) -> None:
    changed(folder / "outcomes.yaml", "  duty: main_bonding\n", "  dutie: main_bonding\n")

    assert "`roles` has no key `dutie`" in refused(folder)


def test_the_outcome_in_a_role_is_of_what_the_role_is(folder: Path) -> None:
    changed(folder / "outcomes.yaml", "  main_bond: main_bond_size\n", "  main_bond: exposed_to_exposed_size\n")

    assert "`outcomes` lacks the outcome `exposed_to_exposed_size` of a installation, with a unit" in refused(folder)


@pytest.mark.parametrize("edition", ["bs7671/2018", "bs7671/2018-a2", "bs7671/2018-a4", "iec60364/2017"])
def test_every_edition_says_it_itself(fourth: Path, edition: str) -> None:
    own = load_pack(consolidate(fourth, edition), f"draft of {edition}.yaml")

    assert (own.format, own.undeclared.keys() - {"bond_joints"}) == (4, set())  # the page's own, which packs of format 4 may lack
    assert own.roles.duty == "main_bonding"
    assert (own.roles.taken_off in own.outcomes) is (edition != "iec60364/2017")


# --- metals ---


def test_a_metal_is_sized_by_a_ratio_that_the_pack_tells(folder: Path) -> None:
    """Checked by hand: a metal of a fifth of copper's conductance; 25 mm² of it are 5 mm² of copper."""
    source = "source: {from: practice, kind: common_practice, confidence: from_memory}"
    changed(folder / "bs7671/2018.yaml", "values:\n", f'values:\n  bronze_to_copper: {{value: 5 of one, clause: "544.1.1", {source}}}\n')
    changed(
        folder / "materials.yaml",
        "    steel: {compared: steel_to_copper}\n",
        "    steel: {compared: steel_to_copper}\n    bronze: {compared: bronze_to_copper}\n",
    )

    bronze = pack(folder)

    assert size_between(bronze, 25.0, "bronze", "neutral_copper_equivalent") == Between(5, 5)
    unknown = size_between(bronze, 25.0, "unknown", "neutral_copper_equivalent")
    assert isinstance(unknown, Between)
    assert (unknown.lowest, unknown.highest) == (25 / bronze.number("steel_to_copper"), 25)


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("steel: {compared: steel_to_copper}", "steel: {compared: size}", "lacks one row, and one alone, with `compared: size`"),
        ("copper: {compared: size}", "copper: {compared: resistance}", "lacks one row, and one alone, with `compared: size`"),
        ("steel: {compared: steel_to_copper}", "steel: {compared: resistance}", "lacks a row of `steel, class_2`"),
        ("steel: {compared: steel_to_copper}", "steel: {compared: steel_to_coper}", "`steel_to_coper` is no `size`, `resistance` or named"),
        ("steel: {compared: steel_to_copper}", "steel: {}", "row `steel` of table `sized_metals` lacks `compared`"),
        ("{wall_by_outside: copper-tube-wall}", "{wall_by_outside: copper-tube-walls}", "`copper-tube-walls` is no reference table"),
    ],
)
def test_what_a_pack_says_of_metals_fits_together(folder: Path, was: str, now: str, said: str) -> None:
    changed(folder / "materials.yaml", was, now)

    assert said in refused(folder)


def test_a_pack_of_the_fourth_format_says_how_metals_compare(folder: Path) -> None:
    text = (folder / "materials.yaml").read_text(encoding="utf-8")
    (folder / "materials.yaml").write_text(re.sub(r"  sized_metals:.*\n(    .*\n)+", "", text), encoding="utf-8")

    assert "`properties` lacks the table `sized_metals`" in refused(folder)


# --- items ---


def house(kind: str) -> dict[str, Any]:
    """A house with an item of a kind that touches nothing earthy, and cladding that touches structural steel."""
    items = [
        {"id": "frame", "kind": kind, "material": "steel", "touches": "nothing_earthy", "bonds": []},
        {"id": "skin", "kind": "cladding", "material": "steel", "touches": "structural_steel", "bonds": []},
    ]
    return {"work": {"kind": "inspection", "inspected_on": "2026-11-28"}, "premises": "house", "services": [], "items": items}


def cladding(described: dict[str, Any], judging: RulePack) -> str:
    """What the cladding is at worst."""
    (skin,) = [part for part in answer(described, judging)["parts"] if part["part"] == "skin"]
    return str(next(verdict["worst_case"] for verdict in skin["verdicts"] if verdict["outcome"] == judging.roles.extraneity))


def test_a_word_of_touching_stands_for_the_item_that_the_pack_says(folder: Path, plain: RulePack) -> None:
    changed(folder / "materials.yaml", "item: structural_steel}", "item: staircase}")
    other = pack(folder)

    assert [cladding(house(kind), plain) for kind in ("structural_steel", "staircase")] == ["not_extraneous", "extraneous"]
    assert [cladding(house(kind), other) for kind in ("structural_steel", "staircase")] == ["extraneous", "not_extraneous"]


def test_a_word_of_touching_stands_for_a_kind_of_item_that_is_there(folder: Path) -> None:
    changed(folder / "materials.yaml", "item: structural_steel}", "item: structural_stel}")

    assert "`structural_stel` is no row of `item_kinds`; did you mean `structural_steel`?" in refused(folder)


def test_a_column_tells_its_fact(plain: RulePack) -> None:
    assert plain.tells("materials") == {"lead": "lead"}
    assert plain.tells("item_kinds") == {"telecom": "telecom", "equipment": "equipment_case"}
    assert plain.tells("origins") == {}
