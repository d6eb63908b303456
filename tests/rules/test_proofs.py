"""The checks of a pack, each shown on a pack that is sound and on one with the fault that it is for."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
import z3
from tests.rules.small_packs import small_pack

from bondwright.members import replace
from bondwright.proofs import check as checking
from bondwright.proofs.check import check, remembered
from bondwright.proofs.examples import as_expected, gathered
from bondwright.proofs.findings import Finding, errors
from bondwright.proofs.reduced import searched
from bondwright.proofs.solver.asking import asked, must_be_impossible, must_be_possible
from bondwright.proofs.solver.laws import caution, firm
from bondwright.proofs.solver.likeness import same_as_the_reader
from bondwright.proofs.solver.living import dropped, effective, reachable, satisfiable
from bondwright.proofs.solver.sizes import complete, growing, rising
from bondwright.proofs.solver.symbols import knowledge
from bondwright.proofs.sources import sourced
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import Not
from bondwright.rulebook.facts import Facts, Truth
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule

SOUND = small_pack()
SHORT = 0.2
"""Seconds in which the solver does not answer a hard question."""

CHECKS = (as_expected, satisfiable, reachable, complete, growing, rising, caution, firm, effective, same_as_the_reader, searched, sourced)


def name(check: Callable[[RulePack], object]) -> str:
    """What a check is called."""
    return check.__name__


def told(findings: Sequence[Finding]) -> str:
    """All that is said of errors and warnings."""
    return "\n".join(finding.detail for finding in findings if finding.severity != "information")


def from_unknown(_: Polarity) -> Truth:
    """A reading of rules that breaks the law of caution: even one that relaxes acts while it is undecided."""
    return Truth.UNKNOWN


def acting_from_unknown(rules: Sequence[Rule], facts: Facts) -> frozenset[str]:
    """The rules that act by that reading."""
    return frozenset(rule.rule_id for rule in rules if meaning.truth(rule.when, facts) is not Truth.FALSE)


def with_falling_table() -> RulePack:
    """The small pack with a table whose second entry is below its first, which no rule file can hold."""
    (table,) = SOUND.tables.values()
    first, second, last = table.rows
    return replace(SOUND, tables={table.table_id: replace(table, rows=(replace(first, use=16.0), replace(second, use=10.0), last))})


@pytest.mark.parametrize("sound", CHECKS, ids=name)
def test_a_sound_pack_passes(sound: Callable[[RulePack], tuple[Finding, ...]]) -> None:
    assert told(sound(SOUND)) == ""


def test_a_rule_whose_tests_exclude_each_other_is_found() -> None:
    pack = small_pack(("when: {metal: yes, ground: yes}", "when: {all: [{metal: yes}, {metal: no}]}"))

    assert "`metal-from-ground` can never hold" in told(satisfiable(pack))


def test_limits_that_leave_nothing_between_are_found() -> None:
    pack = small_pack(("bond_size: {above: 6 mm2}", "all: [{present_bond: {above: 16 mm2}}, {bond_size: {below: 16 mm2}}]"))

    assert "`bond-too-small` can never hold" in told(satisfiable(pack))


def test_a_rule_that_changes_nothing_is_found() -> None:
    pack = small_pack(("when: {reference: {above: 500 ohm}}", "when: {surroundings: soil}"))

    assert told(effective(pack)) == "rule `low-reference` changes nothing: other rules say as much"


def test_a_rule_that_only_widens_doubt_changes_nothing() -> None:
    pack = small_pack(("when: {extraneous: extraneous, metal: yes}", "when: {all: [{extraneous: extraneous}, {metal: yes}, {metal: no}]}"))

    assert "rule `part-in-doubt` changes nothing: other rules say as much" in told(effective(pack))


def test_a_level_that_nothing_comes_to_is_found() -> None:
    pack = dropped(SOUND, SOUND.rule("bond-too-small"))

    assert told(reachable(pack)) == "no installation comes to level `fault` of `fault`"


def test_a_size_that_is_not_always_given_is_found_with_an_input() -> None:
    pack = dropped(SOUND, SOUND.rule("half-earthing-conductor"))

    assert "no rule gives `bond_size` here; knowing: generator=yes" in told(complete(pack))


def test_a_relaxing_rule_that_acts_while_undecided_breaks_the_law_of_caution() -> None:
    assert "`extraneous` is less cautious for somebody who knows less" in told(caution(SOUND, least=from_unknown))


def test_the_search_without_a_solver_finds_the_same_breach() -> None:
    assert "`extraneous` is less cautious when" in told(searched(SOUND, acts=acting_from_unknown))


def test_a_level_called_firm_that_still_moves_is_found() -> None:
    assert "`extraneous` is called firm" in told(firm(SOUND, least=from_unknown))


def test_a_size_that_shrinks_while_its_number_grows_is_found() -> None:
    assert "`bond_size` shrinks while `neutral` grows" in told(growing(with_falling_table()))


def test_a_size_that_shrinks_from_one_rule_to_the_next_is_found() -> None:
    pack = small_pack(("{half_of: {fact: neutral}}", "4 mm2"), ("when: {generator: yes}", "when: {neutral: {above: 60 mm2}}"))
    pack = replace(pack, rules=tuple(_up_to_60(rule, pack) if rule.rule_id == "bond-size" else rule for rule in pack.rules))

    assert "`bond_size` shrinks while `neutral` grows" in told(growing(pack))


def _up_to_60(rule: Rule, pack: RulePack) -> Rule:
    (above,) = [other.when for other in pack.rules if other.rule_id == "half-earthing-conductor"]
    return replace(rule, when=Not(above))


def test_a_table_that_falls_is_found_row_by_row() -> None:
    assert told(rising(with_falling_table())) == "table `bond-by-neutral`: 10 is below the entry before it"


def test_a_rule_missing_from_the_encoding_is_noticed_on_drawn_rows() -> None:
    encoded = replace(SOUND, rules=tuple(_acting_otherwise(rule) for rule in SOUND.rules))

    assert "encoding and reader differ" in told(same_as_the_reader(SOUND, encoded=encoded))


def _acting_otherwise(rule: Rule) -> Rule:
    return replace(rule, when=Not(rule.when)) if rule.rule_id == "metal-from-ground" else rule


def test_an_example_that_comes_out_otherwise_is_found() -> None:
    pack = small_pack(("neutral: 36 mm2}, expect: {bond_size: 16}", "neutral: 35 mm2}, expect: {bond_size: 16}"))

    assert told(as_expected(pack)) == "rule `bond-size`: bond_size is 10.0, expected 16.0"


def test_examples_for_want_of_a_size_name_it_and_what_would_give_it_and_are_told_once() -> None:
    pack = small_pack(("{fact: device_current}]}}\n    when: {all: []}", "{fact: device_current}]}}\n    when: {generator: yes}"))

    found = gathered(as_expected(pack))

    always = "let one rule that sizes it hold always, `when: {all: []}`"
    wanting = f"rule `bond-size`: no rule gives `earth_resistance`, which is worked out for every installation: {always}"
    assert told(found) == f"{wanting} (examples that come to the same: 1 more)"


def test_a_source_that_is_not_declared_is_found() -> None:
    pack = replace(SOUND, sources={"practice": SOUND.sources["practice"]})

    assert "rule `metal-from-ground` rests on `small-book`, which is not declared" in told(sourced(pack))


def test_what_rests_on_memory_is_counted() -> None:
    (counted,) = sourced(SOUND)

    assert counted.detail.startswith("5 of 18 rest on memory")


def cubes() -> list[z3.BoolRef]:
    """A question that the solver does not answer: two cubes that add up to a cube."""
    a, b, c = z3.Ints("a b c")
    return [a > 0, b > 0, c > 0, a * a * a + b * b * b == c * c * c]


def test_what_is_asked_and_not_answered_in_time_counts_as_possible() -> None:
    shown = asked(cubes(), knowledge(SOUND, "part", "one"), SHORT)

    assert shown is not None and shown.startswith("the solver could not settle it within 0.2 s")


WANTED = Finding("caution", "warning", None, "the law")


def test_a_proof_that_does_not_come_in_time_is_an_error() -> None:
    (found,) = must_be_impossible(WANTED, cubes(), [], SHORT)

    assert (found.check, found.severity, found.finished) == ("caution", "error", False)
    assert found.detail.startswith("the solver gave no answer within 0.2 s")


def test_an_example_that_does_not_come_in_time_is_an_error() -> None:
    (found,) = must_be_possible(WANTED, cubes(), SHORT)

    assert (found.check, found.severity, found.finished) == ("caution", "error", False)


def test_findings_are_kept_by_digest_and_taken_again(tmp_path: Path) -> None:
    first = check(SOUND, full=True, keep=tmp_path)

    (kept,) = tmp_path.iterdir()
    kept.write_text(kept.read_text().replace("5 of 18", "0 of 18"))
    again = check(SOUND, full=True, keep=tmp_path)
    assert kept.name.startswith(SOUND.digest)
    assert [one.detail.replace("5 of 18", "0 of 18") for one in first] == [one.detail for one in again]


def test_other_findings_are_kept_for_another_pack(tmp_path: Path) -> None:
    other = small_pack(('A small book"\n', 'Another book"\n'))

    for pack in (SOUND, other):
        check(pack, full=False, keep=tmp_path)

    assert len(list(tmp_path.iterdir())) == 2


def test_what_was_not_brought_to_its_end_is_never_kept(tmp_path: Path) -> None:
    kept = tmp_path / "proof.json"

    found = remembered(SOUND, [lambda _: must_be_possible(WANTED, cubes(), SHORT)], kept)

    assert len(errors(found)) == 1
    assert not kept.exists()


def test_what_is_kept_falls_with_all_code_that_the_proofs_rest_on() -> None:
    package = Path(checking.__file__).parent.parent
    counted = {files: set(package.glob(files)) for files in checking.DECIDES}
    modules = [path for files, found in counted.items() if files.endswith("*.py") for path in found]
    lines = "\n".join(path.read_text(encoding="utf-8") for path in modules)
    names = re.findall(r"^from bondwright\.([a-z_.]+) import", lines, re.MULTILINE)
    imported = {package / f"{name.replace('.', '/')}.py" for name in names}

    assert all(counted.values())
    assert {path for path in imported if path.exists()} - set().union(*counted.values()) == {package / "errors.py"}
