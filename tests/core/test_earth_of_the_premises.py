"""How the earth comes, what is shown of it, and what a calculation makes of the sizes."""

import json
from typing import Any

import pytest
from tests import paged
from tests.core.cases import judged, read
from tests.rules.revisions import published

from bondwright.compose.answer import Evaluation
from bondwright.compose.sentences import size_words
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept

FRAME = {"id": "frame", "kind": "structural_steel", "material": "steel", "fed_by": "nothing", "touches": "soil", "bonds": []}
PIPE = {"id": "oil", "kind": "oil", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no", "bonds": []}
TN_S = {
    "earthing_system": "TN-S",
    "pme_conditions": "do_not_apply",
    "line_conductor": {"size": 35, "material": "copper"},
    "earthing_conductor": {"buried": "no"},
}

FACTOR = {"k": 143, "buried": "no"}


def described(supply: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "supply": supply, **more}


def barn(**feeder: Any) -> dict[str, Any]:
    fed = {"comes_from": "another_building", "earth": "own_electrode", **feeder}
    house = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 120, "material": "copper"}}
    return described({**house, "feeder": fed}, premises="outbuilding", items=[FRAME])


def worked_out(**earthing: Any) -> Evaluation:
    return judged(described({**TN_S, "earthing_conductor": {"buried": "no", **earthing}}))


def asked(answer: Evaluation) -> set[str]:
    """Where everything is asked for, as JSON Pointers."""
    verdicts = [verdict for part in answer.parts for verdict in part.verdicts] + ([answer.feeder.verdict] if answer.feeder else [])
    questions = [question for verdict in verdicts for question in verdict.questions]
    questions += [question for size in (answer.main_bond_size, answer.earthing_conductor_size) for question in size.questions]
    return {question.pointer for question in questions if question.pointer}


@pytest.mark.parametrize(
    ("said", "place"),
    [
        (barn(earth="carried_over", electrode="only_earth"), "/supply/feeder/electrode"),
        (barn(earth="not_used", electrode="additional"), "/supply/feeder/electrode"),
        (
            described({"earthing_conductor": {"calculated_mm2": 5, "fault_current_a": 1600, "disconnection_time_s": 1, "k": 143}}),
            "/supply/earthing_conductor/calculated_mm2",
        ),
        (described(TN_S, shares_metal="no", services=[{**PIPE, "comes_from": "neighbour"}]), "/shares_metal"),
    ],
)
def test_what_contradicts_itself_is_refused_at_its_place(said: dict[str, Any], place: str) -> None:
    with pytest.raises(Contradiction) as refused:
        judged(said)

    assert [fault.pointer for fault in refused.value.faults] == [place]


@pytest.mark.parametrize(
    ("said", "place", "values"),
    [
        (barn(), "/supply/feeder/electrode", ["only_earth", "additional"]),
        (barn(earth="unknown"), "/supply/feeder/electrode", ["only_earth", "additional"]),
        (barn(earth="unknown"), "/supply/feeder/earth", ["carried_over", "own_electrode", "not_used"]),
        (barn(electrode="only_earth"), "/supply/feeder/shown_by_test", ["yes", "no"]),
        (barn(electrode="only_earth"), "/supply/feeder/carries_fault_current", ["yes", "no"]),
        (barn(electrode="only_earth", shown_by_test="yes"), "/supply/feeder/protective_conductors", [[]]),
        (described({"earthing_system": "TT"}), "/shares_metal", ["yes", "no"]),
        (described({"pme_conditions": "apply"}), "/supply/earthing_system", ["TN-S", "TN-C-S", "TT"]),
        (described(TN_S), "/supply/earthing_conductor/calculated_mm2", [0.1, 4, 4.1, 16, 16.1, 1000]),
        (described({**TN_S, "earthing_conductor": FACTOR}), "/supply/earthing_conductor/fault_current_a", [0.1, 9000]),
        (
            described({**TN_S, "earthing_conductor": {"k": 143, "buried": "no"}}),
            "/supply/earthing_conductor/disconnection_time_s",
            [0.01, 5],
        ),
    ],
)
def test_a_question_goes_away_once_it_is_answered(said: dict[str, Any], place: str, values: list[Any]) -> None:
    *path, last = place.split("/")[1:]
    answers = []
    for value in values:
        told = json.loads(json.dumps(said))
        thing = told
        for key in path:
            thing = thing.setdefault(key, {})
        thing[last] = value
        answers.append(judged(told))

    assert place in asked(judged(said))
    assert [place in asked(answer) for answer in answers] == [False] * len(values)


@pytest.mark.parametrize(
    ("current_a", "time_s", "k", "earthing_mm2", "bond_mm2"),
    [
        (1250, 0.2, 143, 4, 6),  # √(1250²·0.2)/143 is 3.91
        (1800, 0.4, 115, 10, 6),  # 9.90
        (2000, 0.72, 143, 16, 6),  # 11.87, of which half is below 6
        (2000, 0.9, 143, 16, 10),  # 13.27
        (3000, 1.6, 115, 16, 10),  # 33.0, more than selection by the line conductor asks for
    ],
)
def test_fault_current_time_and_k_make_the_sizes_firm(
    current_a: float, time_s: float, k: float, earthing_mm2: float, bond_mm2: float
) -> None:
    answer = worked_out(fault_current_a=current_a, disconnection_time_s=time_s, k=k)

    sizes = (answer.earthing_conductor_size, answer.main_bond_size)
    assert [(size.firm, size.highest) for size in sizes] == [(True, earthing_mm2), (True, bond_mm2)]


def words_of(evaluation: Evaluation) -> str:
    """The size of the main bond in words."""
    return size_words(evaluation.main_bond_size, paged.spoken(evaluation.pack.pack_id, evaluation.pack.digest))


def test_without_a_calculation_the_size_says_that_less_may_do() -> None:
    assert words_of(worked_out()) == "10 mm² (less, down to 6 mm², may do if it is worked out)"
    assert words_of(worked_out(calculated_mm2=11)) == "6 mm²"


@pytest.mark.parametrize("role", ["only_earth", "additional", "unknown"])
def test_a_pack_published_before_takes_an_electrode_for_the_only_earth(role: str) -> None:
    pack = published("bs7671-2018-a3-r3")
    assert "electrode_shown_by_test" not in pack.facts

    answer = evaluate(read(barn(electrode=role)), pack, TwoChannels(pack, Kept()).acts)

    assert answer.feeder is not None
    assert (answer.feeder.act, answer.feeder.verdict.outcome, answer.parts[0].act) == ("feeder_serves", "feeder_conductor", "bond")


def test_steel_in_the_soil_beside_an_only_electrode_is_bonded_to_it() -> None:
    answer = judged(barn(electrode="only_earth", protective_conductors=[]))

    assert answer.feeder is not None
    assert (answer.feeder.act, answer.parts[0].act) == ("feeder_brings_no_earth", "bond")


def test_a_flat_on_the_landlords_installation_is_no_outbuilding() -> None:
    answer = judged(described({"feeder": {"comes_from": "landlords_installation"}}, premises="flat", items=[FRAME]))

    assert answer.feeder is not None
    assert (answer.feeder.act, answer.parts[0].act) == ("feeder_ask", "measure_or_bond")
