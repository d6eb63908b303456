"""Size of supplementary bonding conductors against what is printed.

The book itself was not read: 544.2 is that of the forum thread DIYnot "Shared earth conductor", the floor of 2.5 mm² that of
a trade body's pocket guide on 543.1.1.
"""

from typing import Any

import pytest
from tests.calculations.changed import worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range, refused, used
from tests.calculations.worked import pack, result, worked
from tests.rules.revisions import published

from bondwright.errors import Contradiction
from bondwright.members import replace
from bondwright.rulebook.sizing import FromValue
from bondwright.shelf.packs import draft_pack, rules_folder

NAME, SIZE = "supplementary-bond-size", "supplementary_bond_size"
BATH = "bath_or_shower"
"""Where 544.2 alone counts; what other kinds of location ask for is in test_supplementary_bonds_of_places.py."""


@pytest.mark.parametrize(
    ("protected", "lesser_cpc_mm2", "bond_mm2"),
    [
        ("yes", 1, 2.5),  # pocket guide: not below 2.5 mm²
        ("yes", 1.5, 2.5),
        ("yes", 4, 4),  # DIYnot: the conductance of the smaller of the two
        ("yes", 6, 6),
        ("yes", 7, 10),  # the next stocked size
        ("no", 1.5, 4),  # DIYnot: 4 mm² without mechanical protection
        ("no", 6, 6),
    ],
)
def test_between_exposed_parts_goes_the_smaller_protective_conductor(protected: str, lesser_cpc_mm2: float, bond_mm2: float) -> None:
    answer = worked(NAME, pairing="exposed_to_exposed", protected=protected, lesser_cpc_mm2=lesser_cpc_mm2, location_kind=BATH)

    assert result(answer, SIZE) == bond_mm2


@pytest.mark.parametrize(
    ("protected", "cpc_mm2", "bond_mm2"),
    [
        ("yes", 1.5, 2.5),  # pocket guide: not below 2.5 mm²
        ("yes", 5, 2.5),  # DIYnot: half of the exposed part's
        ("yes", 6, 4),  # half is 3, the next stocked size
        ("yes", 16, 10),
        ("no", 1.5, 4),  # DIYnot: 4 mm² without mechanical protection
        ("no", 10, 6),
    ],
)
def test_between_exposed_and_extraneous_goes_half_the_protective_conductor(protected: str, cpc_mm2: float, bond_mm2: float) -> None:
    answer = worked(NAME, pairing="exposed_to_extraneous", protected=protected, cpc_mm2=cpc_mm2, location_kind=BATH)

    assert result(answer, SIZE) == bond_mm2


@pytest.mark.parametrize(
    ("lesser_cpc_mm2", "bond_mm2"), [(500, 500), (501, 630), (630, 630), (631, 800), (800, 800), (801, 1000), (1000, 1000)]
)
def test_large_protective_conductor_has_a_bond_of_the_next_made_size(lesser_cpc_mm2: float, bond_mm2: float) -> None:
    """The sizes of IEC 60228 above 500 mm² are 630, 800 and 1000 mm²; from memory."""
    answer = worked(NAME, pairing="exposed_to_exposed", protected="yes", lesser_cpc_mm2=lesser_cpc_mm2)

    assert result(answer, SIZE) == bond_mm2


@pytest.mark.parametrize(("cpc_mm2", "bond_mm2"), [(600, 300), (601, 400), (1000, 500)])
def test_half_of_a_large_protective_conductor_is_rounded_up_too(cpc_mm2: float, bond_mm2: float) -> None:
    assert result(worked(NAME, pairing="exposed_to_extraneous", protected="yes", cpc_mm2=cpc_mm2), SIZE) == bond_mm2


def test_pack_that_knows_no_size_so_large_refuses_with_the_largest() -> None:
    older = published("bs7671-2018-a4-r4")
    inputs = {"pairing": "exposed_to_exposed", "protected": "yes"}

    assert result(worked_by_rules(older, NAME, **inputs, lesser_cpc_mm2=500), SIZE) == 500
    with pytest.raises(Contradiction, match=r"^/lesser_cpc_mm2: must be at most 500 mm², the largest made size"):
        worked_by_rules(older, NAME, **inputs, lesser_cpc_mm2=501)


@pytest.mark.parametrize(("protected", "bond_mm2"), [("yes", 2.5), ("no", 4)])
def test_between_extraneous_parts_goes_the_printed_size(protected: str, bond_mm2: float) -> None:
    """DIYnot "Shared earth conductor"."""
    assert result(worked(NAME, pairing="extraneous_to_extraneous", protected=protected, location_kind=BATH), SIZE) == bond_mm2


@pytest.mark.parametrize(
    "inputs",
    [
        {"pairing": "exposed_to_exposed", "protected": "yes", "lesser_cpc_mm2": 6},
        {"pairing": "exposed_to_extraneous", "protected": "no", "cpc_mm2": 6},
        {"pairing": "extraneous_to_extraneous", "protected": "no"},
    ],
)
def test_size_is_in_mm2_and_the_last_step_gives_it(inputs: dict[str, Any]) -> None:
    answer = worked(NAME, **inputs)

    assert [one.unit for one in answer.results] == ["mm2"]
    assert_last_step_gives_the_result(answer)


def test_both_rules_are_cited_where_protection_is_missing() -> None:
    answer = worked(NAME, pairing="exposed_to_extraneous", protected="no", cpc_mm2=1.5)

    assert used(answer) == ["exposed-to-extraneous-protected", "exposed-to-extraneous-unprotected"]


@pytest.mark.parametrize(
    ("inputs", "places"),
    [
        ({"pairing": "exposed_to_exposed"}, ["/lesser_cpc_mm2"]),
        ({"pairing": "exposed_to_extraneous"}, ["/cpc_mm2"]),
        ({"pairing": "exposed_to_exposed", "lesser_cpc_mm2": 1.5, "cpc_mm2": 2.5}, ["/cpc_mm2"]),
        ({"pairing": "extraneous_to_extraneous", "lesser_cpc_mm2": 1.5, "cpc_mm2": 2.5}, ["/lesser_cpc_mm2", "/cpc_mm2"]),
    ],
)
def test_protective_conductor_of_the_pairing_and_no_other_is_taken(inputs: dict[str, Any], places: list[str]) -> None:
    assert refused(NAME, protected="yes", **inputs) == places


@pytest.mark.parametrize(
    ("inputs", "place"),
    [
        ({"pairing": "exposed_to_exposed", "protected": "yes", "lesser_cpc_mm2": 0.05}, "/lesser_cpc_mm2"),
        ({"pairing": "pipes", "protected": "yes"}, "/pairing"),
        ({"pairing": "extraneous_to_extraneous", "protected": "unknown"}, "/protected"),
        ({"pairing": "extraneous_to_extraneous"}, "/protected"),
    ],
)
def test_input_out_of_range_is_refused_at_its_place(inputs: dict[str, Any], place: str) -> None:
    assert out_of_range(NAME, **inputs) == [place]


def test_rule_of_the_pack_decides() -> None:
    rules = tuple(
        replace(rule, form=FromValue(6)) if rule.rule_id == "extraneous-to-extraneous-unprotected" else rule for rule in pack().rules
    )

    answer = worked_by_rules(replace(pack(), rules=rules), NAME, pairing="extraneous_to_extraneous", protected="no")

    assert result(answer, SIZE) == 6


def test_international_rules_size_it_too() -> None:
    """Mitolo's table of supplementary bonds: 2.5 mm² protected, 4 mm² not."""
    international = draft_pack(rules_folder(), "iec60364/2017")
    answers = [worked_by_rules(international, NAME, pairing="extraneous_to_extraneous", protected=told) for told in ("yes", "no")]

    assert [result(answer, SIZE) for answer in answers] == [2.5, 4]


MADE_MM2 = (1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300, 400, 500, 630, 800, 1000)


@pytest.mark.parametrize("cpc_mm2", [1, 2.5, 2.6, 4, 5, 5.1, 16, 95, 240, 241, 501, 1000])
@pytest.mark.parametrize(("protected", "least_mm2"), [("yes", 2.5), ("no", 4)])
def test_size_is_that_of_the_printed_words_worked_out_beside(cpc_mm2: float, protected: str, least_mm2: float) -> None:
    """A second source that shares no rule with the first: the words of Mitolo's table, worked out here with IEC 60228 sizes."""
    exposed = worked(NAME, pairing="exposed_to_exposed", protected=protected, lesser_cpc_mm2=cpc_mm2, location_kind=BATH)
    mixed = worked(NAME, pairing="exposed_to_extraneous", protected=protected, cpc_mm2=cpc_mm2, location_kind=BATH)

    assert result(exposed, SIZE) == min(size for size in MADE_MM2 if size >= max(least_mm2, cpc_mm2))
    assert result(mixed, SIZE) == min(size for size in MADE_MM2 if size >= max(least_mm2, cpc_mm2 / 2))
