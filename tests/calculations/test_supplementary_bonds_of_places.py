"""Size of supplementary bonding conductors by the kind of location, against a table of notes made apart from the rules.

Only Section 705 is known to have a size of its own: 4 mm² of copper, protected or not (705.544.2), from memory. For all others 544.2
counts: 2.5 mm² protected, 4 mm² not, as the forum thread DIYnot "Shared earth conductor" has it. The book itself was not read.
"""

from typing import Any

import pytest
from tests.calculations.changed import worked_by_rules
from tests.calculations.test_main_bond import out_of_range, refused
from tests.calculations.worked import pack, result, worked
from tests.rules.revisions import published

from bondwright.errors import Contradiction
from bondwright.shelf.packs import draft_pack, rules_folder

NAME, SIZE = "supplementary-bond-size", "supplementary_bond_size"
FARM = "agricultural_or_horticultural"
CPC = {"exposed_to_exposed": "lesser_cpc_mm2", "exposed_to_extraneous": "cpc_mm2", "extraneous_to_extraneous": ""}

SMALLEST_MM2 = {  # protected, not protected
    "ordinary_room": (2.5, 4),  # 544.2
    "bath_or_shower": (2.5, 4),  # 701: 544.2
    "pool_or_fountain": (2.5, 4),  # 702: 544.2; a ladder and a pump 4 mm², unprotected
    "sauna": (2.5, 4),  # 703: no size of its own; from memory
    FARM: (4, 4),  # 705.544.2; from memory
    "conducting_with_restricted_movement": (2.5, 4),  # 706: 544.2; a casing to its vat 4 mm², unprotected
    "medical": (2.5, 4),  # 710: 544.2; from memory
    "extra_low_voltage_lighting": (2.5, 4),  # 715: no size of its own; from memory
    "gangway": (2.5, 4),  # 729: no size of its own; from memory
    "fairground": (2.5, 4),  # 740: its duty is that of 705, its size is not known beyond 544
    "floor_or_ceiling_heating": (2.5, 4),  # 753: 544.2; from memory
}
NO_SUCH_CONDUCTOR = {
    "exposed_to_exposed": set[str](),
    "exposed_to_extraneous": set[str](),
    "extraneous_to_extraneous": {"medical", "conducting_with_restricted_movement"},  # to the bar; the casing to the metal
}


def _joined(pairing: str, protected: str, cpc_mm2: float = 1.5, **more: str) -> dict[str, Any]:
    return {"pairing": pairing, "protected": protected, **({CPC[pairing]: cpc_mm2} if CPC[pairing] else {}), **more}


@pytest.mark.parametrize("pairing", CPC)
@pytest.mark.parametrize("kind", SMALLEST_MM2)
def test_smallest_conductor_of_a_kind_of_location_is_that_of_the_notes(kind: str, pairing: str) -> None:
    if kind in NO_SUCH_CONDUCTOR[pairing]:
        assert refused(NAME, **_joined(pairing, "yes", location_kind=kind)) == ["/location_kind"]
        return

    sizes = [result(worked(NAME, **_joined(pairing, protected, location_kind=kind)), SIZE) for protected in ("yes", "no")]

    assert sizes == [*SMALLEST_MM2[kind]]


def test_notes_have_every_kind_for_which_the_pack_sizes_such_a_conductor() -> None:
    kinds = {kind for pairing in CPC for kind in pack().links(*pairing.split("_to_"))}

    assert kinds == SMALLEST_MM2.keys()


@pytest.mark.parametrize("edition", ["2018", "2018-a1", "2018-a2", "2018-a3", "2018-a4"])
@pytest.mark.parametrize("pairing", CPC)
def test_farm_has_it_in_every_edition(pairing: str, edition: str) -> None:
    answer = worked_by_rules(draft_pack(rules_folder(), f"bs7671/{edition}"), NAME, **_joined(pairing, "yes", location_kind=FARM))

    assert result(answer, SIZE) == 4
    assert "705.544.2" in {one.clause for one in answer.sources}
    assert answer.weakest_source == "from_memory"


@pytest.mark.parametrize("cpc_mm2", [0.1, 1.5, 2.5, 4, 4.1, 5, 8, 8.1, 16, 240, 501, 1000])
@pytest.mark.parametrize("protected", ["yes", "no"])
@pytest.mark.parametrize("pairing", CPC)
def test_size_of_a_kind_that_was_not_told_is_never_below_that_of_any(pairing: str, protected: str, cpc_mm2: float) -> None:
    kinds = SMALLEST_MM2.keys() - NO_SUCH_CONDUCTOR[pairing]
    told = {result(worked(NAME, **_joined(pairing, protected, cpc_mm2, location_kind=kind)), SIZE) for kind in kinds}
    not_told = [_joined(pairing, protected, cpc_mm2), _joined(pairing, protected, cpc_mm2, location_kind="unknown")]

    assert [result(worked(NAME, **one), SIZE) for one in not_told] == [max(told)] * 2


def test_answer_names_the_input_that_would_change_it_and_both_sizes() -> None:
    answer = worked(NAME, **_joined("extraneous_to_extraneous", "yes"))

    assert [(one.name, one.word) for one in answer.judgements] == [("location", "unknown")]
    assert all(said in answer.judgements[0].words for said in ("4 mm²", f"`{FARM}`", "`location_kind`", "2.5 mm²"))


@pytest.mark.parametrize(
    "inputs",
    [_joined("extraneous_to_extraneous", "no"), _joined("exposed_to_exposed", "yes", 4), _joined("exposed_to_extraneous", "yes", 8)],
)
def test_nothing_is_said_of_the_kind_where_it_makes_no_difference(inputs: dict[str, Any]) -> None:
    answer = worked(NAME, **inputs)

    assert answer.judgements == ()
    assert {one.clause for one in answer.sources if one.clause.startswith("705")} == set()


def test_kind_that_was_told_is_said_in_the_words_of_the_pack() -> None:
    answer = worked(NAME, **_joined("extraneous_to_extraneous", "yes", location_kind="bath_or_shower"))

    assert [(one.word, one.words) for one in answer.judgements] == [("bath_or_shower", "room with a bath or shower")]
    assert result(answer, SIZE) == 2.5


@pytest.mark.parametrize("kind", ["inside_caravan", "outdoor_lighting", "vehicle_charging", "explosion_risk", "other"])
@pytest.mark.parametrize("pairing", CPC)
def test_kind_without_such_a_conductor_is_refused_and_never_taken_for_another(pairing: str, kind: str) -> None:
    """A caravan's frame and street lighting have conductors of their own, 4 mm² from memory and 6 mm² and more, which evaluations size."""
    assert refused(NAME, **_joined(pairing, "yes", location_kind=kind)) == ["/location_kind"]


def test_kind_that_nobody_knows_is_refused() -> None:
    assert out_of_range(NAME, **_joined("extraneous_to_extraneous", "yes", location_kind="farm")) == ["/location_kind"]


@pytest.mark.parametrize("pack_id", ["bs7671-2018-a4-r9", "bs7671-2018-a4-r4", "iec60364-2017-r9"])
def test_pack_without_larger_sizes_answers_as_it_did(pack_id: str) -> None:
    older, inputs = published(pack_id), _joined("extraneous_to_extraneous", "yes")

    answer = worked_by_rules(older, NAME, **inputs)

    assert (result(answer, SIZE), answer.judgements) == (2.5, ())
    assert result(worked_by_rules(older, NAME, **inputs, location_kind="bath_or_shower"), SIZE) == 2.5
    with pytest.raises(Contradiction, match=r"write one of \w+, \w+, or leave it out"):
        worked_by_rules(older, NAME, **inputs, location_kind=FARM)
