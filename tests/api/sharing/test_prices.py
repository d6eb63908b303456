"""Prices: a small house costs 1, more of anything never costs less, and what is counted is what the survey finds."""

import json
import re
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.api.builders import HOUSE, WORK, described
from tests.benchmarks.worst import MOST, SHAPES
from tests.described import read

from bondwright.assembly import Bondwright
from bondwright.assembly.sharing.prices import MOST_BYTES_A_PRICE, Counts, counted, demand_affordable, price_of, price_of_calculation
from bondwright.errors import TooMuch
from bondwright.members import replace
from bondwright.metalwork.survey import survey
from bondwright.rulebook.pack import PackHead
from bondwright.settings import USUAL_LIMITS, USUAL_PRICES
from bondwright.shelf.packs import rules_folder

WATER = {"kind": "water", "comes_from": "ground"}
DAYS = {"2019-06-01": 1, "2020-03-01": 2, "2022-05-01": 2, "2026-05-01": 3, "2026-11-25": 1}
ROOM: dict[str, Any] = {"kind": "bath_or_shower"}


def one(_: date) -> int:
    """One edition, whatever the day."""
    return 1


def test_a_small_house_costs_one() -> None:
    assert price_of(HOUSE, USUAL_PRICES, one) == 1


@pytest.mark.parametrize("raw", [b"", b"{", b"[]", b"null", b'{"services": {"a": [1]}}', b'{"locations": [1, null], "items": 3}', b"\xff"])
def test_what_is_no_description_costs_one(raw: bytes) -> None:
    assert price_of(raw, USUAL_PRICES, one) == 1


def test_each_thing_is_counted() -> None:
    raw = described(
        services=[WATER | {"hidden": "no", "bonds": [{}, {}], "measurements": [{}]}, WATER | {"id": "riser"}],
        detailed_services=[{"kind": "gas", "sections": [{"bonds": [{}], "branches": [{"sections": [{}, {"measurements": [{}]}]}]}]}],
        items=[{"kind": "tap", "bonds": [{}]}],
        locations=[
            ROOM
            | {"items": [{"kind": "bath"}], "circuits": [{}, {}], "services": [{"kind": "water"}, {"kind": "water", "service": "riser"}]},
            ROOM | {"services": "unknown"},
        ],
    )

    counts = counted(json.loads(raw), 0)

    # lengths: 2 and 3 of the short form, 3 of the detailed one, 2 items; shown: an item, both water services, the riser again
    assert counts == Counts(length=10, bond=4, reading=2, room=2, circuit=2, shown=1 + 5 + 3)


def test_each_further_earthing_has_every_length_looked_at_again() -> None:
    house = {"services": [WATER], "items": [{"kind": "tap"}]}

    assert [counted({**house, "earthings": [{"id": f"rod-{at}"} for at in range(many)]}, 0).length for many in (0, 1, 3)] == [4, 8, 16]


def test_every_shipped_case_is_counted_as_the_survey_finds_it(packs: tuple[PackHead, ...]) -> None:
    # From outside the counting: the survey, which makes the lengths that are judged; short services differ where they end at the entry.
    far = []
    cases = [json.loads(path.read_bytes())["installation"] for path in sorted((rules_folder() / "bs7671/cases").glob("*.json"))]
    for one_case in cases:
        raw = json.dumps(one_case).encode()
        there = len(survey(read(raw), packs[-1].whole()).lengths)
        told = counted(one_case, 0).length / (1 + len(one_case.get("earthings", [])))
        if not there - 2 * len(one_case.get("services", [])) <= told <= there + 2 * len(one_case.get("services", [])):
            far.append((one_case.get("reference"), there, told))

    assert cases
    assert far == []


@given(st.lists(st.sampled_from(["services", "items", "locations"]), max_size=30), st.sampled_from(["services", "items", "locations"]))
def test_more_never_costs_less(names: list[str], more: str) -> None:
    def raw(of: list[str]) -> bytes:
        things = {"services": WATER, "items": {"kind": "tap"}, "locations": ROOM | {"services": [{"kind": "water"}]}}
        return described(**{name: [things[name]] * of.count(name) for name in things})

    assert price_of(raw([*names, more]), USUAL_PRICES, one) >= price_of(raw(names), USUAL_PRICES, one)


def test_a_price_up_to_the_highest_is_taken_and_one_above_it_refused() -> None:
    raw = described(items=[{"kind": "tap"}] * 100)
    price = price_of(raw, USUAL_PRICES, one)

    assert demand_affordable(raw, USUAL_PRICES, one, price) == price
    with pytest.raises(TooMuch, match=rf"^/: .* price of {price} and may come to {price - 1}; split .* fewer lengths of metalwork"):
        demand_affordable(raw, USUAL_PRICES, one, price - 1)


def test_a_refusal_says_what_there_is_too_much_of() -> None:
    raw = described(services=[WATER] * 20, locations=[ROOM | {"services": [{"kind": "water"}] * 12}] * 50)

    with pytest.raises(TooMuch) as refused:
        demand_affordable(raw, USUAL_PRICES, one, 100)

    assert refused.value.faults[0].pointer == "/locations"
    assert "lengths that rooms show, each as often as a room names it" in refused.value.faults[0].detail


@pytest.mark.parametrize(
    ("work", "times"),
    [
        ({"work": {"kind": "inspection", "inspected_on": "2026-05-01"}}, 3),
        ({"work": {"kind": "addition", "designed_on": "2026-05-01"}}, 3),
        ({"work": {"kind": "inspection", "inspected_on": "2026-11-25"}}, 1),
        ({"work": {"kind": "inspection", "inspected_on": "2026-05-01"}, "rule_pack": "bs7671-2018-a4-r6"}, 1),
        ({"work": {"kind": "inspection", "inspected_on": "2026-05-32"}}, 1),
        ({"work": {"kind": "inspection", "inspected_on": 5}}, 1),
        ({"work": []}, 1),
    ],
)
def test_each_edition_that_judges_the_day_of_the_work_costs(work: dict[str, Any], times: int) -> None:
    raw = json.dumps({**work, "items": [{"kind": "tap"}] * 99}).encode()

    price = price_of(raw, replace(USUAL_PRICES, kilobyte=0), lambda day: 3 if day == date(2026, 5, 1) else 1)

    assert price == round(times * (USUAL_PRICES.base + 99 * USUAL_PRICES.length))


def test_the_real_packs_say_how_many_judge_a_day(bondwright: Bondwright) -> None:
    # From outside: in use are an edition and those before it until the day on which each is withdrawn (rules/bs7671).
    large = {day: bondwright.price(described(work=WORK | {"inspected_on": day}, items=[{"kind": "tap"}] * 100)) for day in DAYS}

    assert [round(price / min(large.values())) for price in large.values()] == list(DAYS.values())


@pytest.mark.parametrize("name", SHAPES)
def test_an_answer_has_at_most_so_many_bytes_for_its_price(bondwright: Bondwright, name: str) -> None:
    raw = json.dumps(SHAPES[name](max(1, MOST[name] // 20))).encode()

    assert len(bondwright.evaluate(raw).body) <= MOST_BYTES_A_PRICE * bondwright.price(raw)


@pytest.mark.parametrize("name", SHAPES)
def test_the_largest_of_each_shape_can_be_afforded(name: str) -> None:
    assert price_of(json.dumps(SHAPES[name](MOST[name])).encode(), USUAL_PRICES, one) <= USUAL_LIMITS.most_price


def test_four_hundred_lengths_in_fifty_rooms_can_be_afforded_and_naming_them_again_and_again_not() -> None:
    def raw(times: int) -> bytes:
        lengths = [{"kind": "water", "sections": [{}] * 8}] * 50
        return described(detailed_services=lengths, locations=[ROOM | {"services": [{"kind": "water"}] * times}] * 50)

    assert price_of(raw(1), USUAL_PRICES, one) <= USUAL_LIMITS.most_price < price_of(raw(2), USUAL_PRICES, one)


def test_the_page_for_callers_tells_the_usual_prices() -> None:
    page = (rules_folder().parent / "openapi/README.md").read_text(encoding="utf-8")
    section = page.partition("## What a request costs\n")[2].partition("\n## ")[0]
    told = [float(number) for row in section.splitlines() if row.startswith("| ") for number in re.findall(r"[0-9.]+", row.split("|")[2])]

    assert told == [getattr(USUAL_PRICES, name) for name in ("base", "kilobyte", "length", "bond", "reading", "room", "circuit", "shown")]
    assert f"{USUAL_LIMITS.most_price:,}" in section
    assert f"{MOST_BYTES_A_PRICE:,}" in section
    assert f"{USUAL_LIMITS.most_price * MOST_BYTES_A_PRICE // 1_000_000} MB" in section


@pytest.mark.parametrize(
    ("asked", "price"),
    [
        ({"measured_ohm": 7000}, 1),
        ({"loads": [{"power_w": 4600}] * 25}, 1),
        ({"loads": [{"power_w": 4600}] * 50}, 4),
        ({"flats": [{"loads": [{"power_w": 4600}] * 4}] * 10}, 4),
        ([], 1),
        ("text", 1),
    ],
)
def test_a_calculation_costs_by_the_square_of_the_network_that_it_is_asked(asked: object, price: int) -> None:
    assert price_of_calculation(json.dumps(asked).encode(), replace(USUAL_PRICES, kilobyte=0)) == price


def test_a_large_body_costs_whatever_it_holds() -> None:
    raw = described(supply={"further_supplies": [{"kind": "what"}] * 50_000})

    assert price_of(raw, USUAL_PRICES, one) > USUAL_LIMITS.apart_above
    assert price_of_calculation(raw.replace(b"[", b"").replace(b"]", b""), USUAL_PRICES) > USUAL_LIMITS.apart_above
