"""A place is data: an invented one is added by files alone, and what its files lack is refused with its place."""

from pathlib import Path

import pytest
from tests.rules.parlour import EDITION, PLACE, with_parlour
from tests.rules.raised import changed, raised
from tests.rules.revisions import newest

from bondwright.cli.rules.worked.cases import tried
from bondwright.cli.rules.worked.mistakes import unshown
from bondwright.cli.rules.worked.scoring import whatever_day
from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.proofs.check import FAST
from bondwright.proofs.findings import errors
from bondwright.proofs.mutations import condition_as_written, implied_reach, mutants
from bondwright.proofs.worked.content import changed_parts
from bondwright.proofs.worked.reverting import reverted
from bondwright.rulebook.condition import All, Test
from bondwright.rulebook.declared.places import Every, Having, Some
from bondwright.rulebook.facts import UNKNOWN, Truth
from bondwright.rulebook.meaning import truth
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack

OUTCOMES, PLACES, FACTS = "iec60364/outcomes.yaml", "iec60364/places.yaml", "iec60364/vocabulary.yaml"
LIVESTOCK = "  livestock_present: {of: room, kind: yes_no, told: location, in: milking_parlour,"
UNTOLD = LIVESTOCK.replace(" told: location, in: milking_parlour,", "")
NOTHING = "  - {when: {floor_grid: not_needed}, act: parlour_nothing}\n"
GRID = "from: {some: items, where: {kind: floor_grid}}"
DUTY = "floor_grid: {limit: grid_limit, found: grid_found, present: grid_there}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rules with the parlour."""
    return with_parlour(tmp_path_factory.mktemp("parlour") / "rules")


@pytest.fixture(scope="module")
def pack(folder: Path) -> RulePack:
    """The edition with the parlour."""
    return draft_pack(folder, EDITION)


def test_the_parlour_has_its_own_duties_and_the_bathroom_keeps_its(pack: RulePack) -> None:
    assert [duty.outcome for duty in pack.place(PLACE).duties] == ["floor_grid", "grid_objection", "supplementary_bonding"]
    assert pack.place("bath_or_shower") == newest("iec60364-2017").place("bath_or_shower") == pack.place("ordinary_room")


def test_its_facts_are_worked_out_over_its_items(pack: RulePack) -> None:
    grids = (Having("kind", ("floor_grid",)),)

    assert pack.places.facts["grid_there"] == Some("items", grids)
    assert pack.places.facts["grid_sound"] == Every("items", grids, (Having("welded_at_crossings", ("yes",)),))


@pytest.mark.parametrize(("kind", "holds"), [(PLACE, Truth.UNKNOWN), ("bath_or_shower", Truth.FALSE), ("ordinary_room", Truth.FALSE)])
def test_a_rule_reaches_only_the_places_that_have_what_it_decides(kind: str, holds: Truth, pack: RulePack) -> None:
    when = pack.rule("parlour-needs-a-floor-grid").when

    assert truth(when, {"location_kind": kind, "livestock_present": UNKNOWN}) is holds


def test_each_quick_check_passes_with_the_parlour(pack: RulePack) -> None:
    assert [finding for check in FAST for finding in errors(check(pack))] == []


def test_what_reading_a_rule_gave_it_is_not_tried_for_mistakes(pack: RulePack) -> None:
    rule = pack.rule("parlour-needs-a-floor-grid")
    tried = [mutant.what for mutant in mutants(pack) if mutant.part == ("rule", rule.rule_id)]

    assert implied_reach(rule, pack) == Test("location_kind", "is", ("milking_parlour",))
    assert any("holds always" in what for what in tried)
    assert not any("location_kind" in what for what in tried)


def test_a_rule_that_reading_keeps_from_a_new_place_is_no_other_rule(pack: RulePack) -> None:
    rule = "iec-new-circuits-of-a-bathroom-need-an-rcd"  # a parlour is not asked for it
    before = newest("iec60364-2017")

    assert implied_reach(pack.rule(rule), pack) and not implied_reach(before.rule(rule), before)
    assert ("rule", rule) not in changed_parts(before, pack)
    assert ("rule", "parlour-needs-a-floor-grid") in changed_parts(before, pack)


def test_a_rule_that_places_without_its_outcome_came_beside_is_not_taken_back(pack: RulePack) -> None:
    rule = "iec-new-circuits-of-a-bathroom-need-an-rcd"

    assert ("rule", rule) not in [one.part for one in reverted(newest("iec60364-2017"), pack)]


def test_a_rule_that_reaches_one_place_more_is_taken_back(pack: RulePack) -> None:
    rule = pack.rule("iec-new-circuits-of-a-bathroom-need-an-rcd")
    reach = implied_reach(rule, pack)
    assert reach and isinstance(reach.operand, tuple)
    fewer = reach.operand[:-1]
    kinds = {name: one for name, one in pack.places.kinds.items() if name != reach.operand[-1]}
    narrow = replace(rule, when=All((replace(reach, operand=fewer), condition_as_written(rule, pack))))
    rules = tuple(narrow if one is rule else one for one in pack.rules)
    before = replace(pack, rules=rules, places=replace(pack.places, kinds=kinds))

    assert implied_reach(narrow, before)
    assert rule.rule_id in [name for _, name in (one.part for one in reverted(before, pack))]


def test_a_new_value_is_taken_back_with_the_rules_that_name_it_and_alone_where_none_does(pack: RulePack) -> None:
    value = ("value", "animal_touch_voltage")
    text = pack.own_file.replace(b"{value: animal_touch_voltage}", b"{value: least_by_itself}")

    assert value not in [one.part for one in reverted(newest("iec60364-2017"), pack)]
    assert value in [one.part for one in reverted(newest("iec60364-2017"), replace(pack, own_file=text))]


def test_its_worked_cases_hold_and_show_all_that_is_new(folder: Path, pack: RulePack) -> None:
    trial = tried(folder, pack, ())

    assert [finding for finding in trial.findings if finding.fault] == []
    assert unshown(newest("iec60364-2017"), whatever_day(pack, trial)) == []


def test_a_new_place_without_a_case_is_not_published(tmp_path: Path) -> None:
    folder = with_parlour(tmp_path / "rules")
    for case in folder.glob("iec60364/cases/a-welded-grid-*.json"):
        case.unlink()
    pack = draft_pack(folder, EDITION)

    found = [said for _, said in unshown(newest("iec60364-2017"), whatever_day(pack, tried(folder, pack, ())))]

    for fact in ("livestock_present", "floor_heated", "grid_reading", "welded_at_crossings", "grid_there", "grid_sound"):
        assert f"no worked case notices whether the fact `{fact}` is known; write a case that turns on it" in found
    for side in ("`needed`", "less than `needed`"):
        assert f"no worked case expects `floor_grid` of a `{PLACE}` to be {side}; write a case that does" in found


def test_a_new_fact_that_no_rule_tests_is_not_published(tmp_path: Path) -> None:
    folder = with_parlour(tmp_path / "rules")
    line = '  straw_there: {of: room, kind: yes_no, told: location, meaning: "straw lies there", ask: "Does straw lie there?"}\n'
    changed(folder / FACTS, LIVESTOCK, line + LIVESTOCK)
    pack = draft_pack(folder, EDITION)

    found = unshown(newest("iec60364-2017"), whatever_day(pack, tried(folder, pack, ())))

    assert [said for _, said in found if "straw" in said] == [
        "no rule tests the fact `straw_there`, and no fact that one tests is worked out of it",
        "no worked case notices whether the fact `straw_there` is known; write a case that turns on it",
    ]


@pytest.mark.parametrize(
    ("file", "was", "now", "says"),
    [
        (FACTS, LIVESTOCK, UNTOLD, "no code tells a fact `livestock_present`; or say with `told` or `from` where it comes from"),
        (FACTS, LIVESTOCK, f"{LIVESTOCK} from: kind,", "has both `told` and `from`; it comes from one of them"),
        (FACTS, GRID, "from: {some: item, where: {kind: floor_grid}}", "`item` is no group of things in a place; did you mean `items`?"),
        (FACTS, GRID, "from: {some: items, where: {kind: floor_grit}}", "`floor_grit` is no value of `kind`; did you mean `floor_grid`?"),
        (FACTS, GRID, "from: {some: items, where: {kint: floor_grid}}", "`kint` cannot be asked of items; did you mean `kind`?"),
        (FACTS, GRID, "from: {some: items, where: {kind: unknown}}", "`unknown` is no value of `kind`"),
        (FACTS, GRID, "from: {every: items}", "`every` lacks `have`"),
        (FACTS, GRID, "from: {}", "`from` has exactly one of `said`, `some`, `every`"),
        (FACTS, GRID, "from: {largest: cpc, of: circuits}", "this gives a number, and `grid_there` is a yes_no"),
        (FACTS, GRID, "from: main_bonding", "`main_bonding` is no thing that is worked out of a `room`"),
        (FACTS, GRID, "from: {said: supplementary_bonding}", "has fields of its own; name one of them"),
        (FACTS, GRID, "from: {said: supplementary_bonding/there}", "is no field of the description of a `room`"),
        (PLACES, DUTY, "floor_grit: {}", "`floor_grit` is no outcome of a `room` with levels; did you mean `floor_grid`?"),
        (PLACES, DUTY, "floor_grid: {limit: grid_limits}", "`grid_limits` is no outcome of a place in ohm"),
        (PLACES, DUTY, "floor_grid: {limit: grid_limit, found: grid_found}", "has both `found` and `present`"),
        (PLACES, DUTY, f"{DUTY.removesuffix('}')}, inspected: no}}", "the first duty of `milking_parlour` is shown in an inspection too"),
        (PLACES, DUTY, "floor_grid: {found: grid_found, present: grid_there}", "act `parlour_keep_grid` says `{reading}`, and no duty of"),
        (PLACES, "      grid_objection: {}\n", "      grid_objection: {limit: grid_limit}\n", "one duty of a place has `limit`"),
        (PLACES, DUTY, f"{DUTY.removesuffix('}')}, where: grid_there}}", "has `where`, and so nothing else but `inspected`"),
        (PLACES, DUTY, "floor_grid: {where: grid_there}", "the first duty of `milking_parlour` is shown in an"),
        (PLACES, "objection: {}", "objection: {where: grid_reading}", "`grid_reading` is no yes or no fact of a place"),
        (PLACES, f"  {PLACE}:\n", "  milking_hall:\n", "`milking_hall` is no kind of location that table `room_kinds` judges"),
        (PLACES, "  ordinary_room: {like: bath_or_shower}\n", "", "`places` lacks `ordinary_room`, which the pack judges"),
        (PLACES, "{like: bath_or_shower}", "{like: sauna}", "`sauna` is no other place"),
        (PLACES, NOTHING, NOTHING.replace("}, act", "}, once: any, act"), "a row without `firm` and `once` for `milking_parlour` with"),
        (PLACES, NOTHING, "", "`parlour_nothing` is an act that neither `joined` nor code names"),
        (PLACES, NOTHING, NOTHING + NOTHING.replace("_nothing}", "_leave}"), "`parlour_leave` is no act with advice"),
        (OUTCOMES, "Keep the floor grid of {location}", "Keep the grid of {part}", "act `parlour_keep_grid` says `{part}`, which no place"),
        ("iec60364/materials.yaml", 'judged: yes, words: "milking parlour {number}"', "judged: yes", "lacks `words`"),
    ],
)  # fmt: skip
def test_what_a_declared_place_lacks_is_refused_at_its_place(file: str, was: str, now: str, says: str, tmp_path: Path) -> None:
    folder = with_parlour(tmp_path / "rules")
    changed(folder / file, was, now)

    with pytest.raises(UnreadableRules) as refused:
        draft_pack(folder, EDITION)

    assert says in str(refused.value)
    assert refused.value.line > 1


def test_rows_must_fit_a_place_without_a_duty_that_is_shown_only_where_a_fact_is_yes(tmp_path: Path) -> None:
    folder = with_parlour(tmp_path / "rules")
    changed(folder / PLACES, "      grid_objection: {}\n", "      grid_objection: {where: floor_heated}\n")
    assert draft_pack(folder, EDITION).place(PLACE).duties[1].where == "floor_heated"
    changed(folder / PLACES, NOTHING, NOTHING.replace("not_needed", "not_needed, grid_objection: [nothing_against, ask_maker]"))

    with pytest.raises(UnreadableRules, match="a row without `firm` and `once` for `milking_parlour` with floor_grid `not_needed`"):
        draft_pack(folder, EDITION)


def test_an_older_format_declares_no_places(tmp_path: Path) -> None:
    folder = raised(tmp_path / "rules")
    changed(folder / f"{EDITION}.yaml", "  format: 4", "  format: 3")

    with pytest.raises(UnreadableRules, match="`places` is read from packs of format 4 on; write `format: 4`"):
        draft_pack(folder, EDITION)
