"""Which kinds a pack judges: declared row by row, refused by name and place where it is not, and closed to rules where it is not judged."""

import hashlib
import re

import pytest
from tests.rules.revisions import all_published, draft_read

from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.proofs.solver.kinds import kinds
from bondwright.rulebook.kinds import TABLES
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.kinds import UNDECLARED_KINDS
from bondwright.shelf.packs import draft_pack, rules_folder

EDITION = "bs7671/2018-a4"
TEXT = draft_pack(rules_folder(), EDITION).text.decode()
FROZEN = "742239fdfca35b172c71eeda36ac637e845ba22ea42b501f0f549ce332860fff"
EXPLOSION = next(line for line in TEXT.splitlines() if line.startswith("    explosion_risk: "))
"""The row of a kind of location that no rule covers."""
CHOICES = next(choices for choices in re.findall(r"^  location_kind: .*(choices: \[[^]]*\])", TEXT, re.MULTILINE))


def pack() -> RulePack:
    return draft_pack(rules_folder(), EDITION)


def refusal(was: str, now: str) -> UnreadableRules:
    """What is said of the edition with one text in it changed."""
    assert TEXT.count(was) == 1, f"{TEXT.count(was)} of {was!r}"
    with pytest.raises(UnreadableRules) as refused:
        draft_read(TEXT.replace(was, now), "changed.yaml")
    return refused.value


@pytest.mark.parametrize(
    ("was", "now", "at", "said"),
    [
        (EXPLOSION, EXPLOSION.replace("judged: no, ", ""), "explosion_risk:", "row `explosion_risk` lacks `judged`"),
        (EXPLOSION, EXPLOSION.replace("judged: no", "judged: perhaps"), "explosion_risk:", "`perhaps` is no value of `judged`"),
        (EXPLOSION, EXPLOSION.replace("governed_by: ", "governed: "), "explosion_risk:", "row `explosion_risk` lacks `governed_by`"),
        (EXPLOSION, EXPLOSION.replace("ask: ", "asks: "), "explosion_risk:", "row `explosion_risk` lacks `ask`"),
        (EXPLOSION, EXPLOSION.replace("source: part-7", "source: part-8"), "explosion_risk:", "`part-8` is no declared source"),
        (EXPLOSION, EXPLOSION.replace("confidence: from_memory", "confidence: sure"), "explosion_risk:", "`sure` is no confidence"),
        (EXPLOSION, EXPLOSION.replace("judged: no", "judged: yes"), "explosion_risk:", "is no choice of the fact `location_kind`"),
        (
            CHOICES,
            CHOICES.replace("]", ", explosion_risk]"),
            "location_kind:",
            "`explosion_risk` is no kind of location that table `room_kinds` judges; no rule may test it",
        ),
        ("  not_judged:               #", "  not_judged_at_all:        #", "sized_metals:", "`properties` lacks `not_judged`"),
        (
            "  not_judged:\n    mark: not_judged\n",
            "  not_judged:\n    mark: leave\n",
            "verdict:",
            "advice `not_judged` has no key `verdict`",
        ),
    ],
)
def test_a_table_that_says_it_wrongly_is_refused_at_its_place(was: str, now: str, at: str, said: str) -> None:
    error = refusal(was, now)

    assert said in error.detail
    assert at in TEXT.replace(was, now).splitlines()[error.line - 1]
    assert error.file == "changed.yaml" and error.column > 0


def test_a_kind_without_a_row_is_not_judged_in_general_words() -> None:
    told = pack().kind("item", "weathercock")

    assert not told.judged and told.governed is not None
    assert told.governed.known == pack().properties["not_judged"]["general"]["known"]


def test_the_file_for_older_packs_never_changes_for_their_answers_rest_on_it() -> None:
    assert hashlib.sha256((rules_folder() / UNDECLARED_KINDS).read_bytes()).hexdigest() == FROZEN


def test_packs_published_before_judge_what_they_have_words_for() -> None:
    for old in (one for one in all_published() if not one.kinds.declared):
        assert {name for name, kind in old.kinds.rows["item"].items() if kind.judged} == set(old.properties["item_kinds"])
        assert {name for name, kind in old.kinds.rows["service"].items() if kind.judged} == set(old.properties["service_kinds"])
        assert set(old.kinds.rows["location"]) == {"bath_or_shower", "ordinary_room", "other"}
        assert old.kind("location", "ordinary_room").word("called", "") == "other"
        assert not old.kind("location", "sauna").judged
        assert not old.kind("premises", "farm").judged


def test_every_kind_that_is_not_judged_says_what_governs_it_and_whom_to_ask_in_a_sentence() -> None:
    rows = [kind for of in TABLES for kind in pack().kinds.rows[of].values() if not kind.judged]

    assert len(rows) >= 30
    for kind in rows:
        assert kind.governed is not None
        assert kind.governed.known.endswith(".") and kind.governed.ask.endswith(".") and kind.governed.governed_by


# --- the check of packs: by the solver where rules reach, by the words of the acts elsewhere ---


def faults(changed: RulePack) -> list[str]:
    return [finding.detail for finding in kinds(changed) if finding.severity == "error"]


def test_no_rule_of_the_drafts_tells_a_kind_without_rules_from_another() -> None:
    for edition in (EDITION, "bs7671/2018", "iec60364/2017"):
        one = draft_pack(rules_folder(), edition)
        told = kinds(one)

        assert [finding.detail for finding in told if finding.severity == "error"] == []
        assert any("kinds of things are judged" in finding.detail for finding in told)


def test_a_kind_without_rules_that_a_rule_can_test_is_found() -> None:
    fact = pack().facts["location_kind"]
    open_to_rules = replace(fact, choices=(*fact.choices, "explosion_risk"))

    (fault,) = faults(replace(pack(), facts={**pack().facts, "location_kind": open_to_rules}))

    assert "`explosion_risk` is not judged, and a rule tells it from `bath_or_shower`" in fault


@pytest.mark.parametrize(
    "change",
    [{"mark": "do"}, {"line": "Bond {part} {place}, {size}."}, {"tests": ("Continuity of the bond.",)}],
    ids=["mark", "size", "test"],
)
def test_an_act_that_asks_for_something_where_no_rule_is_behind_it_is_found(change: dict[str, object]) -> None:
    advice = pack().advice["not_judged"]

    assert len(faults(replace(pack(), advice={**pack().advice, "not_judged": replace(advice, **change)}))) == 1  # type: ignore[arg-type]


def test_a_judged_thing_that_would_be_told_not_judged_is_found() -> None:
    joined = (replace(pack().joined[0], act="not_judged"), *pack().joined[1:])

    assert any("no act for a thing that has duty and objection" in fault for fault in faults(replace(pack(), joined=joined)))


def test_a_pack_that_judges_nothing_is_found() -> None:
    general = pack().kinds.general
    rows = {of: {name: replace(kind, governed=general) for name, kind in some.items()} for of, some in pack().kinds.rows.items()}

    assert "the pack judges no kind of thing at all" in faults(replace(pack(), kinds=replace(pack().kinds, rows=rows)))
