"""Mistakes in units, dates and clauses: each is refused on reading, noticed by a worked case, or not published without a reason."""

import json
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from tests.core.cases import cases, published_pack, read
from tests.rules.revisions import drafted

from bondwright.cli.command_line import main
from bondwright.cli.rules.worked.cases import Trial, tried
from bondwright.cli.rules.worked.mistakes import scored as mistakes_scored
from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.proofs.worked.claims import Claims
from bondwright.proofs.worked.content import parts_of
from bondwright.proofs.worked.kept import KeptFates
from bondwright.proofs.worked.mistakes import clauses_in
from bondwright.proofs.worked.noticing import Also, Score, scored
from bondwright.proofs.worked.slips import Slip, slips
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.drafts.rereading import reread
from bondwright.shelf.lines import Line, lines_of, read_lines
from bondwright.shelf.packs import pack_of, rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.reading.nodes import Map

EDITION = "bs7671/2018-a4"
RULE = ("rule", "bond-below-least-size")


@cache
def made() -> tuple[Slip, ...]:
    """Every mistake in the text of the draft."""
    return tuple(slips(drafted(EDITION)))


@cache
def right() -> tuple[tuple[Line, ...], Map]:
    """The lines of the draft, and what they hold."""
    lines = lines_of(drafted(EDITION).text, "draft.yaml")
    return lines, read_lines(lines)


def text_read(slip: Slip) -> RulePack:
    """The pack that a text makes, of which only what the mistake touches is read again. Raises: UnreadableRules."""
    before, nodes = right()
    lines = lines_of(slip.text, "draft.yaml")
    assert len(lines) == len(before)
    touched = [number for number, (was, now) in enumerate(zip(before, lines, strict=True)) if was.text != now.text]
    return pack_of(reread(lines, nodes, slice(touched[0], touched[-1] + 1), 0), slip.text, draft=True)


@cache
def trial() -> Trial:
    """The worked cases as the edition judges them."""
    return tried(rules_folder(), drafted(EDITION), on_shelf(rules_folder()))


def fates(part: str) -> Counter[str]:
    """What became of the mistakes in one part of the edition, as `rules mistakes` finds it; every word of it that is not nothing."""
    pack = drafted(EDITION)
    among = frozenset(one for one in parts_of(pack) if one[1] == part)
    score = mistakes_scored(rules_folder(), EDITION, pack, trial(), among, lambda *_: None)
    told = {"noticed": score.noticed, "refused": score.refused, "asked_for_a_reason": score.asked, "without_effect": score.same}
    return +Counter({"made": score.made, "exempt": score.exempt, "survivors": len(score.survivors), **told})


@pytest.fixture(autouse=True)
def _apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BONDWRIGHT_DATA", str(tmp_path))


def test_the_unit_of_everything_that_has_one_is_mistaken() -> None:
    pack = published_pack()
    numbers = {name for name, fact in pack.facts.items() if fact.kind == "number"}

    units = {one.part for one in made() if "for the unit" in one.what and one.part[0] != "rule"}

    expected = {("fact", name) for name in numbers} | {("value", name) for name in pack.values}
    assert units == expected | {("table", name) for name in pack.tables} | {("reference", name) for name in pack.references}


def test_another_unit_of_a_fact_a_value_or_a_printed_table_is_refused_on_reading() -> None:
    read_still = []
    for slip in (one for one in made() if "for the unit" in one.what and one.part[0] in ("fact", "reference", "table")):
        try:
            text_read(slip)
        except UnreadableRules:
            continue
        read_still.append(slip.what)

    assert read_still == []


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        ("rcd_operating_current", {"made": 4, "noticed": 2, "refused": 2}),  # a tenth less and more; in A and in mm2
        ("review_by", {"made": 2, "refused": 1, "asked_for_a_reason": 1}),  # a year earlier it is the first day of use
        ("usable_from", {"made": 2, "refused": 1, "asked_for_a_reason": 1}),  # a year later it is the day of review
    ],
)
def test_each_of_them_meets_somebody(part: str, expected: dict[str, int]) -> None:
    assert [finding for finding in trial().findings if finding.fault] == []
    assert fates(part) == expected


def test_a_time_of_use_that_other_editions_speak_against_is_refused_as_on_reading(capsys: pytest.CaptureFixture[str]) -> None:
    main(["rules", "mistakes", "bs7671/2018-a1", "--of", "usable_from", "--format", "json"])

    found = json.loads(capsys.readouterr().out)  # a year later it no longer lies beside the base, as its file says
    assert (found["made"], found["refused"], found["asked_for_a_reason"]) == (2, 1, 1)


@pytest.mark.parametrize(("asks", "survive"), [(False, 1), (True, 0)])
def test_a_clause_that_no_case_expects_survives_unless_a_reason_would_be_asked(asks: bool, survive: int) -> None:
    pack = published_pack()
    claims = Claims(pack, [(name, claim, read(claim.installation)) for name, claim in cases()[0].claims])

    found = scored(claims, frozenset({RULE}), also=Also(asks=lambda _: asks))

    clauses = [one for one in found.survivors if " stands under " in one.detail]
    assert (len(clauses), found.asked) == (survive, 1 - survive)
    assert all("write a case that expects `clauses: [" in one.detail for one in clauses)


def test_a_clause_that_a_case_expects_is_noticed() -> None:
    pack = published_pack()
    expecting = [case for case in cases() if '"clauses"' in case.text.decode()]
    claims = Claims(pack, [(name, claim, read(claim.installation)) for case in expecting for name, claim in case.claims])
    wanted = {clause for one in claims.judged for each in one.claim.expectations if each.key == "clauses" for clause in each.wanted}
    by_rules = {clause for rule in pack.rules for clause in clauses_in(rule.clause)}
    by_others = {clause for outcome in pack.outcomes.values() for clause in clauses_in(outcome.otherwise_clause)}
    other = replace(pack, rules=tuple(replace(one, clause="999.9") for one in pack.rules), digest="0" * 64)

    unseen = {clause for clause in wanted if not any(one.notices(other) for one in claims.expecting(frozenset({clause})))}
    assert wanted & by_rules - by_others
    assert unseen & by_rules - by_others == set()


def test_what_is_kept_is_free_the_second_time_and_damage_is_worked_out_anew(tmp_path: Path) -> None:
    claims = Claims(published_pack(), [(name, claim, read(claim.installation)) for name, claim in cases()[0].claims])

    def again() -> tuple[Score, int]:
        kept = KeptFates(tmp_path / "kept", claims.rests_on)
        return scored(claims, frozenset({RULE}), also=Also(kept=kept)), kept.found

    first, found = again()
    (file,) = (tmp_path / "kept").iterdir()
    written = file.read_bytes()

    assert (found, again()) == (0, (first, first.made))
    for damage in (written.replace(b'"survives"', b'"noticed"'), written[:-9], b"[]", b"\xff"):
        file.write_bytes(damage)
        anew, found = again()
        assert (found, len(anew.survivors)) == (0, len(first.survivors))
        assert again() == (anew, anew.made)


def test_what_is_kept_rests_on_rules_and_cases_and_not_on_wording() -> None:
    pack = published_pack()
    claimed = [(name, claim, read(claim.installation)) for name, claim in cases()[0].claims]
    right = Claims(pack, claimed).rests_on
    one = pack.rules[0]

    worded = replace(pack, rules=(replace(one, says="Other words.", origin=pack.rules[1].origin), *pack.rules[1:]))
    decided = replace(pack, rules=(replace(one, when=pack.rules[1].when), *pack.rules[1:]))

    assert Claims(worded, claimed).rests_on == right
    assert Claims(decided, claimed).rests_on != right
    assert Claims(pack, claimed[:1]).rests_on != right
