"""At publishing, mistakes in what changed since the pack before must be noticed by a worked case; the others are not made again."""

from pathlib import Path

import pytest
from tests.core.cases import cases, published_pack
from tests.described import terms

from bondwright.cli.rules.worked.cases import Trial
from bondwright.cli.rules.worked.mistakes import survivors
from bondwright.cli.rules.worked.scoring import whatever_day
from bondwright.members import replace
from bondwright.proofs.worked.content import changed_parts
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule
from bondwright.shelf.packs import rules_folder

RULE = "bond-below-least-size"
ABOUT_IT = "a-bond-below-6-mm2-is-more-than-an-improvement"


@pytest.fixture(autouse=True)
def _apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BONDWRIGHT_DATA", str(tmp_path))


def without(rule_id: str) -> RulePack:
    """The published pack without a rule, as if it had come later."""
    pack = published_pack()
    return replace(pack, rules=tuple(rule for rule in pack.rules if rule.rule_id != rule_id))


def with_rule(rule: Rule) -> RulePack:
    """The published pack with another rule of that id."""
    pack = published_pack()
    return replace(pack, rules=tuple(rule if one.rule_id == rule.rule_id else one for one in pack.rules))


def told(old: RulePack, *names: str) -> list[str]:
    """The survivors in what changed from a pack to the published one, by those worked cases alone."""
    trial = Trial(cases=[case for case in cases() if case.name in names], terms=terms())
    found = survivors(rules_folder(), old, whatever_day(published_pack(), trial), lambda *_: None)
    assert all(place and place.line > 1 for place, _ in found)
    return [words for _, words in found]


def test_a_new_rule_of_which_no_case_speaks_leaves_every_mistake_unseen() -> None:
    found = told(without(RULE), "a-sound-bond-of-the-right-size-is-kept")

    assert f"no worked case notices that rule `{RULE}` is dropped" in " ".join(found)
    assert all(f"`{RULE}`" in one for one in found)
    assert any(f"rule `{RULE}` stands under" in one and "write a case that expects `clauses: [" in one for one in found)


def test_of_a_case_about_it_fewer_are_left() -> None:
    found = told(without(RULE), ABOUT_IT)

    assert f"rule `{RULE}` is dropped" not in " ".join(found)
    assert len(found) < len(told(without(RULE), "a-sound-bond-of-the-right-size-is-kept"))


def test_a_clause_that_the_pack_before_has_needs_a_reason_and_so_no_case() -> None:
    before = with_rule(replace(published_pack().rule(RULE), level="departs"))

    assert not any(" stands under " in one for one in told(before, ABOUT_IT))


def test_wording_and_moved_lines_are_no_change() -> None:
    pack = published_pack()
    rule = pack.rule(RULE)

    before = with_rule(replace(rule, says="Other words.", origin=pack.rules[0].origin, place=pack.rules[0].place))

    assert changed_parts(before, pack) == frozenset()
    assert told(before) == []


@pytest.mark.parametrize(
    ("part", "before"),
    [
        (("rule", RULE), lambda pack: with_rule(replace(pack.rule(RULE), clause="544.1"))),
        (("table", "pme-main-bond"), lambda pack: replace(pack, tables={})),
        (("value", "touch_voltage_limit"), lambda pack: replace(pack, values={})),
        (("joined", "keep_and_note"), lambda pack: replace(pack, joined=())),
        (("fact", "bond_size"), lambda pack: replace(pack, facts={})),
        (("reference", "touch-current"), lambda pack: replace(pack, references={})),
        (("date", "review_by"), lambda pack: replace(pack, review_by=pack.usable_from)),
    ],
)
def test_each_kind_of_part_is_found_to_have_changed(part: tuple[str, str], before: object) -> None:
    pack = published_pack()

    found = changed_parts(before(pack), pack)  # type: ignore[operator]

    assert part in found
    assert {kind for kind, _ in found} == {part[0]}


def test_rows_of_the_joined_table_in_another_order_are_changed() -> None:
    pack = published_pack()
    before = replace(pack, joined=(pack.joined[1], pack.joined[0], *pack.joined[2:]))

    assert {kind for kind, _ in changed_parts(before, pack)} == {"joined"}
