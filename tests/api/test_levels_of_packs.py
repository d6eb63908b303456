"""A rule pack tells what its rules decide: each outcome with its levels and words, as verdicts give them."""

from typing import Any

from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON
from tests.opened import in_place


def outcomes(client: TestClient, pack_id: str) -> dict[str, Any]:
    """The outcomes of a pack by name, as they are read."""
    return {one["outcome"]: one for one in client.get(f"/v1/rule-packs/{pack_id}").json()["outcomes"]}


def test_levels_stand_in_their_order_with_words_and_code(client: TestClient) -> None:
    extraneous = outcomes(client, "bs7671-2018-a4-r7")["extraneous"]

    assert [level["level"] for level in extraneous["levels"]] == [
        "not_extraneous",
        "not_extraneous_while_conditions_last",
        "extraneous",
    ]
    assert extraneous["levels"][0] == {"level": "not_extraneous", "words": "not an extraneous-conductive-part", "code": None}
    assert (extraneous["of"], extraneous["stage"], extraneous["unit"], extraneous["cautious"]) == ("part", "classify", None, None)


def test_a_number_has_a_unit_and_a_cautious_end_and_no_levels(client: TestClient) -> None:
    size = outcomes(client, "bs7671-2018-a4-r7")["main_bond_size"]

    assert (size["levels"], size["unit"], size["cautious"]) == ([], "mm2", "larger")


def test_what_is_acted_on_instead_of_a_level_is_told(client: TestClient) -> None:
    main_bonding = outcomes(client, "bs7671-2018-a4-r7")["main_bonding"]

    assert [one["act_on"] for one in main_bonding["instead"]] == ["not_shown", "covered", "look_first"]


def test_every_word_of_a_verdict_is_listed(client: TestClient) -> None:
    evaluation = in_place(client.post(EVALUATIONS, content=HOUSE, headers=JSON).json()["evaluation"])
    told = outcomes(client, evaluation["pack"]["pack_id"])
    verdicts = [verdict for part in evaluation["parts"] for verdict in (*part["verdicts"], *part["findings"], part["test_to_make"])]

    def words(outcome: dict[str, Any]) -> set[tuple[str, str]]:
        levels, instead = outcome["levels"], outcome["instead"]
        return {(one["level"], one["words"]) for one in levels} | {(one["act_on"], one["words"]) for one in instead}

    assert len(verdicts) > 10
    assert [one for one in verdicts if (one["act_on"], one["words"]) not in words(told[one["outcome"]])] == []
