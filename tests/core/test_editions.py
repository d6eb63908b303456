"""The edition follows the date of the work; where several may be worked to, the answer names the others and what they say otherwise."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import orjson
import pytest
from tests import paged
from tests.api.builders import service
from tests.rules.revisions import newest_id

from bondwright.assembly import Bondwright, Evaluated, build
from bondwright.compose.answer import Evaluation, PartAnswer
from bondwright.compose.pack_used import PackUsed
from bondwright.evaluate.editions import also_usable
from bondwright.members import replace
from bondwright.settings import Settings

FIRST, A1, A2, A3, A4 = (newest_id(f"bs7671-2018{amendment}") for amendment in ("", "-a1", "-a2", "-a3", "-a4"))
SUPPLY = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
LPG = {
    "id": "lpg",
    "kind": "lpg",
    "comes_from": "ground",
    "joined_to": [],
    "enters_as": "copper",
    "inside": "copper",
    "hidden": "no",
    "meter": {"position": "none"},
    "insulating_section": {"from_entry_m": 0.2, "length_m": 0.15, "bore_mm": 15},
    "bonds": [],
}
"""A copper pipe out of the ground with an insulating section right after its entry."""


@pytest.fixture(scope="module")
def bondwright(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bondwright]:
    """The service as it is shipped, recording nothing."""
    made = build(Settings(Path(tmp_path_factory.mktemp("data"))))
    yield made
    made.close()


def judged(bondwright: Bondwright, day: str, **changed: Any) -> Evaluation:
    """What is answered of a house with that LPG pipe, inspected on that day."""
    described = {"work": {"kind": "inspection", "inspected_on": day}, "supply": SUPPLY, "services": [{**LPG, **changed}]}
    return bondwright.evaluate(orjson.dumps(described)).evaluation


def used(bondwright: Bondwright, day: str) -> PackUsed:
    """The pack that judges work of that day."""
    return judged(bondwright, day).pack


def stub(evaluation: Evaluation) -> PartAnswer:
    """The length that comes in from the ground."""
    return next(part for part in evaluation.parts if part.part == "lpg/entering")


@pytest.mark.parametrize(
    ("day", "pack_id", "also"),
    [
        ("2019-01-01", FIRST, []),
        ("2019-01-02", FIRST, []),
        ("2020-01-31", FIRST, []),
        ("2020-02-01", A1, [FIRST]),
        ("2020-02-02", A1, [FIRST]),
        ("2020-07-30", A1, [FIRST]),
        ("2020-07-31", A1, [FIRST]),
        ("2020-08-01", A1, []),
        ("2022-03-27", A1, []),
        ("2022-03-28", A2, [A1]),
        ("2022-03-29", A2, [A1]),
        ("2022-09-26", A2, [A1]),
        ("2022-09-27", A2, [A1]),
        ("2022-09-28", A2, []),
        ("2024-07-30", A2, []),
        ("2024-07-31", A3, [A2]),
        ("2024-08-01", A3, [A2]),
        ("2026-04-14", A3, [A2]),
        ("2026-04-15", A4, [A3, A2]),
        ("2026-04-16", A4, [A3, A2]),
        ("2026-10-13", A4, [A3, A2]),
        ("2026-10-14", A4, [A3, A2]),
        ("2026-10-15", A4, []),
        ("2026-10-16", A4, []),
        ("2026-11-25", A4, []),
    ],
)
def test_the_newest_edition_usable_on_the_day_judges_and_the_others_are_named(
    bondwright: Bondwright, day: str, pack_id: str, also: list[str]
) -> None:
    pack = used(bondwright, day)

    assert (pack.pack_id, [other.pack_id for other in pack.also_usable], pack.in_use_on_that_day) == (pack_id, also, True)


def test_before_the_first_edition_the_newest_judges_and_says_that_it_was_not_in_use(bondwright: Bondwright) -> None:
    pack = used(bondwright, "2018-12-31")

    assert (pack.pack_id, pack.in_use_on_that_day, pack.also_usable) == (A4, False, ())


def test_under_amendment_1_a_pipe_with_an_insulating_section_at_its_entry_is_left(bondwright: Bondwright) -> None:
    part = stub(judged(bondwright, "2022-03-27"))

    duty = next(verdict for verdict in part.verdicts if verdict.outcome == "main_bonding")
    assert (part.act, duty.act_on, duty.firm) == ("leave", "not_required", True)


def test_under_amendment_2_the_same_pipe_is_bonded(bondwright: Bondwright) -> None:
    part = stub(judged(bondwright, "2022-09-28"))

    assert part.act == "bond"


def test_while_both_amendments_are_usable_the_difference_is_named(bondwright: Bondwright) -> None:
    evaluation = judged(bondwright, "2022-05-01")

    (other,) = evaluation.pack.also_usable
    assert stub(evaluation).act == "bond"
    assert (other.pack_id, other.standard) == (A1, "BS 7671:2018+A1:2020")
    assert other.differing == (f"{stub(evaluation).name}: act leave (here bond); main bonding not required (here required)",)


def test_editions_that_say_the_same_differ_on_nothing(bondwright: Bondwright) -> None:
    pack = used(bondwright, "2026-10-14")

    assert [other.differing for other in pack.also_usable] == [(), ()]


@pytest.mark.parametrize(
    "changed",
    [
        {"insulating_section": "unknown"},
        {"insulating_section": "none"},
        {"insulating_section": {"from_entry_m": 0.2, "bore_mm": 15}},
        {"insulating_section": {"length_m": 0.15, "bore_mm": 15}},
        {"insulating_section": {"from_entry_m": 0.31, "length_m": 0.15}},
        {"insulating_section": {"from_entry_m": 0.2, "length_m": 0.09}},
    ],
    ids=["unknown", "none", "of unknown length", "at an unknown distance", "too far in", "too short"],
)
def test_under_amendment_1_only_a_certain_section_near_the_entry_frees_the_pipe(bondwright: Bondwright, changed: dict[str, Any]) -> None:
    part = stub(judged(bondwright, "2022-03-27", **changed))

    assert part.act != "leave"


def test_under_amendment_1_a_missing_fact_about_the_section_is_asked_for(bondwright: Bondwright) -> None:
    part = stub(judged(bondwright, "2022-03-27", insulating_section="unknown"))

    duty = next(verdict for verdict in part.verdicts if verdict.outcome == "main_bonding")
    assert ("insulating_section", "/services/0/insulating_section") in [(one.fact, one.pointer) for one in duty.questions]


def test_under_amendment_1_a_length_that_meets_the_ground_beyond_the_section_is_still_bonded(bondwright: Bondwright) -> None:
    beyond = {"hidden": "yes", "hidden_in": "soil", "hidden_as": "copper"}

    parts = judged(bondwright, "2022-03-27", **beyond).parts

    assert {part.part: part.act for part in parts}["lpg/inside"] == "bond"


def test_the_page_names_the_other_edition_and_the_difference(bondwright: Bondwright) -> None:
    text = " ".join(paged.page(judged(bondwright, "2022-05-01")).split())

    assert f"Also usable BS 7671:2018+A1:2020 (pack {A1}), which differs on the LPG pipe where it comes in" in text


def test_the_page_says_where_the_other_edition_agrees(bondwright: Bondwright) -> None:
    text = " ".join(paged.page(judged(bondwright, "2025-01-01")).split())

    assert f"BS 7671:2018+A2:2022 (pack {A2}), which says the same" in text


def test_the_page_is_silent_where_one_edition_alone_is_usable(bondwright: Bondwright) -> None:
    assert "Also usable" not in paged.page(judged(bondwright, "2026-11-25"))


def test_the_same_description_gives_the_same_bytes_where_two_editions_are_usable(bondwright: Bondwright) -> None:
    raw = orjson.dumps({"work": {"kind": "inspection", "inspected_on": "2022-05-01"}, "supply": SUPPLY, "services": [LPG]})

    first, second = (bondwright.evaluate(raw).body for _ in range(2))

    assert first == second


@pytest.fixture(scope="module")
def house(bondwright: Bondwright) -> Evaluated:
    """The example house of the interface, with a bond and a bathroom."""
    request = Path(__file__).parents[2] / "openapi" / "examples" / "house.request.json"
    return bondwright.evaluate(request.read_bytes())


def told(house: Evaluated, other: Evaluation) -> tuple[str, ...]:
    """What is said to differ where another pack gives `other`."""
    return also_usable(house.evaluation, house.pack, other, house.pack.say).differing


def test_an_equal_answer_differs_on_nothing(house: Evaluated) -> None:
    assert told(house, house.evaluation) == ()


def test_a_part_that_the_other_pack_does_not_have_is_named(house: Evaluated) -> None:
    first, *rest = house.evaluation.parts

    (line,) = told(house, replace(house.evaluation, parts=tuple(rest)))

    assert line.startswith(f"{first.name}: act nothing (here {first.act})")


def test_a_bond_that_is_judged_otherwise_is_named_with_its_part(house: Evaluated) -> None:
    part = next(part for part in house.evaluation.parts if part.bonds)
    (bond,) = part.bonds
    verdict, *others = bond.verdicts
    other = replace(part, bonds=(replace(bond, verdicts=(replace(verdict, act_on="not_shown", worst_case="not_shown"), *others)),))

    lines = told(house, replace(house.evaluation, parts=(other,)))

    assert f"{part.name}: bond {bond.bond}: bond connection not shown (here counts)" in lines


def test_a_room_with_another_act_is_named(house: Evaluated) -> None:
    (room,) = house.evaluation.rooms

    lines = told(house, replace(house.evaluation, rooms=(replace(room, act="another_act"),)))

    assert lines == (f"{room.name}: act another act (here {room.act.replace('_', ' ')})",)


def test_another_size_of_a_supplementary_connection_is_named(house: Evaluated) -> None:
    (room,) = house.evaluation.rooms
    link, *others = room.links
    larger = replace(link.least_size, lowest=16.0, highest=16.0, firm=True)

    (line,) = told(house, replace(house.evaluation, rooms=(replace(room, links=(replace(link, least_size=larger), *others)),)))

    assert line.startswith(f"{room.name}: {link.joins} 16 mm² (here ")


def test_another_size_of_the_main_bond_is_named(house: Evaluated) -> None:
    larger = replace(house.evaluation.main_bond_size, lowest=16.0, highest=16.0)

    assert told(house, replace(house.evaluation, main_bond_size=larger)) == ("main bond size: size 16 mm² (here 10 mm²)",)


def test_a_pack_on_request_judges_by_its_date_only_where_no_other_is_published(tmp_path: Path, house: Evaluated) -> None:
    alone = replace(house.pack, on_request=True)
    older = replace(house.pack, pack_id="book-2020-r1", usable_from=date(2020, 1, 1), usable_to=date(2020, 12, 31))

    chosen = [service(packs, tmp_path / "r.sqlite").choose_pack(house.installation) for packs in ([alone], [alone, older])]

    assert [pack.pack_id for pack in chosen] == [house.pack.pack_id, "book-2020-r1"]
