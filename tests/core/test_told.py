"""Facts that packs declare and have told: read strictly by what the packs have, and put to no other use. The packs here are invented."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.core.cases import published_pack
from tests.opened import in_place
from tests.rules.raised import changed, raised, raised_pack
from tests.rules.revisions import published

from bondwright.cli.rules.publishing.following import demand_terms_fit
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.conclude.concluding import plainly
from bondwright.errors import NotTheSchema, UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.facts.told import ToldNotUsed, WhyNot, not_used, told_of
from bondwright.installation.description import Installation
from bondwright.installation.reading import read_installation
from bondwright.installation.terms import Terms, Thing
from bondwright.installation.words import ToldFacts
from bondwright.members import replace
from bondwright.report.brief import brief_text
from bondwright.report.text import evaluation_text
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import draft_pack, rules_folder
from bondwright.shelf.published import on_shelf

PARLOUR = "agricultural_or_horticultural"
LIVESTOCK = (
    f'livestock: {{of: room, kind: yes_no, told: location, in: [{PARLOUR}], meaning: "animals are kept there", ask: "Are there animals?"}}'
)
BEDDING = 'bedding: {of: room, kind: choice, choices: [straw, rubber], told: [location], meaning: "of the floor", ask: "What lies there?"}'
DEPTH = 'depth: {of: item, kind: number, unit: m, range: [0.1 m, 3 m], told: [item, service], meaning: "how deep", ask: "How deep is it?"}'
GRID = 'grid: {of: item, kind: number, unit: ohm, range: [0 ohm, 100 ohm], told: item, meaning: "of the grid", ask: "What does it read?"}'
FACTS = (LIVESTOCK, BEDDING, DEPTH, GRID)
NOTHING_TOLD = "bs7671-2018-a4-r9"
"""The last pack of that edition in which no fact is told."""
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> RulePack:
    """The newest edition with those facts."""
    return raised_pack(tmp_path_factory.mktemp("raised") / "rules", *FACTS)


@pytest.fixture(scope="module")
def terms(pack: RulePack) -> Terms:
    """What descriptions may say with it on the shelf."""
    return terms_of((*on_shelf(rules_folder()), pack))


def read(terms: Terms, **parts: Any) -> Installation:
    """A description of so much, and of the work."""
    return read_installation(json.dumps({"work": WORK, **parts}).encode(), terms)


def faults(terms: Terms, **parts: Any) -> dict[str, str]:
    """What is wrong with such a description, by place."""
    with pytest.raises(NotTheSchema) as refused:
        read(terms, **parts)
    return {fault.pointer: fault.detail for fault in refused.value.faults}


def others(thing: Thing, terms: Terms) -> str:
    """The facts told of a thing that are not of the tests' own, as a refusal names them."""
    own = {fact.partition(":")[0] for fact in FACTS}
    return ", ".join(f"`{name}`" for name in terms.facts(thing) if name not in own)


def test_what_is_told_is_kept_as_it_was_said(terms: Terms) -> None:
    item = {"kind": "tank", "told": {"depth": 0.1, "grid": "<0.3 ohm"}}
    room = {"kind": PARLOUR, "told": {"livestock": "yes"}, "items": [{"kind": "gate", "told": {"depth": 3}}]}
    room["services"] = [{"kind": "water", "told": {"depth": "unknown"}}]

    installation = read(terms, items=[item], locations=[room], services=[{"kind": "water", "told": {"depth": 1}}])

    (location,) = installation.locations
    assert location.told == {"livestock": "yes"}
    assert [inside.told for inside in location.items if not isinstance(inside, str)] == [{"depth": 3.0}]
    assert [inside.told for inside in location.services if not isinstance(inside, str)] == [{"depth": "unknown"}]
    assert installation.items[0].told == {"depth": 0.1, "grid": "<0.3 ohm"}
    assert installation.services[0].told == {"depth": 1.0}


def test_what_is_left_out_tells_nothing(terms: Terms) -> None:
    installation = read(terms, items=[{"kind": "tank"}], locations=[{"circuits": [{}]}])

    assert installation.items[0].told == installation.locations[0].told == {}
    assert [circuit.told for circuit in installation.locations[0].circuits if not isinstance(circuit, str)] == [{}]


@pytest.mark.parametrize(
    ("told", "at", "says"),
    [
        ({"livestock": "maybe"}, "/livestock", "write one of `yes`, `no`, `unknown`"),
        ({"livestock": None}, "/livestock", "null says nothing: write `unknown`, or leave the key out"),
        ({"bedding": "hay"}, "/bedding", "write one of `straw`, `rubber`, `unknown`"),
        ({"livestok": "yes"}, "/livestok", "unknown key; did you mean `livestock`?"),
        ({"sheep": "yes"}, "", "holds an unknown key; known here are {known}, `livestock`, `bedding`"),
        ("yes", "", "write an object"),
    ],
)
def test_what_cannot_be_told_of_a_location_is_refused_at_its_place(told: object, at: str, says: str, terms: Terms) -> None:
    assert faults(terms, locations=[{"told": told}]) == {f"/locations/0/told{at}": says.replace("{known}", others("location", terms))}


@pytest.mark.parametrize(
    ("told", "at", "says"),
    [
        ({"depth": 0.09}, "/depth", "write a number from 0.1 to 3, in m, or `unknown`"),
        ({"depth": 3.01}, "/depth", "write a number from 0.1 to 3, in m, or `unknown`"),
        ({"depth": 300}, "/depth", "write a number from 0.1 to 3, in m, or `unknown`; a number of mm is divided by 1000"),
        ({"depth": "2 m"}, "/depth", "in m, or `unknown`; the number alone, with no quotation marks and no unit after it"),
        ({"grid": 0.3}, "/grid", "write text such as `0.05 ohm`"),
        ({"grid": "0.3"}, "/grid", "write text such as `0.05 ohm`"),
        ({"straw": "yes"}, "", "holds an unknown key; known here are {known}, `depth`, `grid`"),
    ],
)
def test_what_cannot_be_told_of_an_item_is_refused_at_its_place(told: object, at: str, says: str, terms: Terms) -> None:
    ((place, said),) = faults(terms, items=[{"kind": "tank", "told": told}]).items()

    assert place == f"/items/0/told{at}"
    assert says.replace("{known}", others("item", terms)) in said


def test_where_packs_have_nothing_told_nothing_can_be() -> None:
    then = terms_of([published(NOTHING_TOLD)])

    assert faults(then, locations=[{"told": {"livestock": "yes"}}]) == {"/locations/0/told": "holds a key; none is known here"}


def test_what_is_told_is_a_fact_where_the_pack_has_it(pack: RulePack) -> None:
    grid = told_of("item", {"grid": "10 ohm", "depth": 2.0}, PARLOUR, pack)

    assert told_of("location", {"livestock": "yes", "bedding": "straw"}, PARLOUR, pack) == {"livestock": "yes", "bedding": "straw"}
    assert grid["depth"] == Between(2.0, 2.0)
    # The instrument may err by three tenths of what it shows (`reading_uncertainty` of the pack).
    assert grid["grid"] == Between(7.0, 13.0)


def test_what_is_not_known_is_no_fact(pack: RulePack) -> None:
    assert told_of("location", {"livestock": "unknown"}, PARLOUR, pack) == {}
    assert list(not_used("location", {"livestock": "unknown"}, PARLOUR, "/locations/0", pack)) == []


@pytest.mark.parametrize(
    ("told", "location", "why"),
    [
        ({"livestock": "yes"}, "bath_or_shower", "not_in_such_a_location"),
        ({"depth": 1.0}, PARLOUR, "not_in_pack"),
        ({"sheep": "yes"}, PARLOUR, "not_in_pack"),
        ({"bedding": "hay"}, PARLOUR, "not_such_a_value"),
        ({"bedding": 3.0}, PARLOUR, "not_such_a_value"),
        ({"bedding": "3 ohm"}, PARLOUR, "not_such_a_value"),
    ],
)
def test_what_the_pack_does_not_ask_is_no_fact_and_is_told_of(told: ToldFacts, location: str, why: WhyNot, pack: RulePack) -> None:
    (name,) = told

    assert told_of("location", told, location, pack) == {}
    assert list(not_used("location", told, location, "/locations/0", pack)) == [ToldNotUsed(f"/locations/0/told/{name}", name, why)]


@pytest.mark.parametrize("said", [0.09, 3.01, ">999 MΩ"])
def test_a_number_beyond_the_range_of_the_pack_is_no_fact(said: str | float, pack: RulePack) -> None:
    name = "grid" if isinstance(said, str) else "depth"

    assert told_of("item", {name: said}, PARLOUR, pack) == {}
    assert [one.why for one in not_used("item", {name: said}, PARLOUR, "/items/0", pack)] == ["not_such_a_value"]


def test_the_answer_tells_of_every_told_fact_that_is_not_used_at_its_place(terms: Terms) -> None:
    inside = {"kind": "sauna", "told": {"livestock": "yes"}, "circuits": [{}], "items": [{"kind": "gate", "told": {"depth": 3}}]}
    inside["services"] = [{"kind": "water", "told": {"depth": 2}}]
    said = read(
        terms,
        services=[{"kind": "water"}, {"kind": "gas", "told": {"depth": 1}}],
        detailed_services=[{"kind": "oil", "sections": [{}], "told": {"depth": "unknown"}}],
        items=[{"kind": "tank", "told": {"grid": "3 ohm"}}],
        locations=[{}, inside],
    )

    told = evaluate(said, published_pack(), plainly(published_pack())).told_not_used

    assert [(one.pointer, one.fact, one.why) for one in told] == [
        ("/services/1/told/depth", "depth", "not_in_pack"),
        ("/detailed_services/0/told/depth", "depth", "not_in_pack"),
        ("/items/0/told/grid", "grid", "not_in_pack"),
        ("/locations/1/told/livestock", "livestock", "not_in_pack"),
        ("/locations/1/services/0/told/depth", "depth", "not_in_pack"),
        ("/locations/1/items/0/told/depth", "depth", "not_in_pack"),
    ]


def test_a_told_fact_that_is_not_used_changes_nothing_else_of_the_answer(terms: Terms) -> None:
    without: Any = {"items": [{"kind": "tank", "material": "steel", "touches": "soil"}], "locations": [{"kind": "bath_or_shower"}]}
    said: Any = json.loads(json.dumps(without))
    said["items"][0]["told"] = {"depth": 2}
    said["locations"][0]["told"] = {"livestock": "no"}

    there, plain = (evaluate(read(terms, **one), published_pack(), plainly(published_pack())) for one in (said, without))

    assert replace(there, told_not_used=()) == plain
    assert in_place(there) == {
        **in_place(plain),
        "told_not_used": [
            {"pointer": "/items/0/told/depth", "fact": "depth", "why": "not_in_pack"},
            {"pointer": "/locations/0/told/livestock", "fact": "livestock", "why": "not_in_pack"},
        ],
    }


def test_an_answer_in_which_all_is_used_does_not_name_what_is_not(terms: Terms) -> None:
    written = evaluation_bytes(evaluate(read(terms), published_pack(), plainly(published_pack())))

    assert b"told_not_used" not in written and "feeder" not in json.loads(written)


def test_a_pack_that_has_the_fact_uses_it_in_a_location_alone(terms: Terms, pack: RulePack) -> None:
    item = {"kind": "tank", "told": {"depth": 2, "grid": "unknown"}}
    said = read(terms, items=[item], locations=[{"told": {"bedding": "straw"}, "items": [item]}])

    told = evaluate(said, pack, plainly(pack)).told_not_used

    assert [(one.pointer, one.why) for one in told] == [
        ("/items/0/told/depth", "not_in_such_a_location"),
        ("/items/0/told/grid", "not_in_such_a_location"),
    ]


def test_the_report_says_what_was_told_and_is_not_used(terms: Terms) -> None:
    answer = evaluate(read(terms, locations=[{"told": {"livestock": "yes"}}]), published_pack(), plainly(published_pack()))

    for page in (evaluation_text(answer, published_pack().say), brief_text(answer, published_pack().say)):
        assert "TOLD AND NOT USED" in page
        assert "livestock [/locations/0/told/livestock]: these rules do not ask it here" in " ".join(page.split())


def test_two_packs_take_what_either_takes(pack: RulePack, tmp_path: Path) -> None:
    wider = BEDDING.replace("[straw, rubber]", "[straw, sand]"), DEPTH.replace("[0.1 m, 3 m]", "[0.5 m, 4 m]")
    both = terms_of((pack, raised_pack(tmp_path / "rules", *wider)))

    assert both.facts("location")["bedding"].words == ("straw", "rubber", "sand")
    assert (both.facts("item")["depth"].lowest, both.facts("item")["depth"].highest) == (0.1, 4.0)


def test_packs_that_tell_a_number_in_different_units_are_refused(pack: RulePack, tmp_path: Path) -> None:
    other = raised_pack(tmp_path / "rules", DEPTH.replace("unit: m,", "unit: A,").replace("[0.1 m, 3 m]", "[1 A, 3 A]"))

    with pytest.raises(UnreadableRules, match="`depth` is told in `A` here and in `m` in another pack"):
        terms_of((pack, other))


@pytest.mark.parametrize(
    ("fact", "says"),
    [
        (LIVESTOCK.replace("told: location", "told: room"), "`room` is no thing that facts are told of"),
        (LIVESTOCK.replace(", told: location", ""), "`in` says in which kinds of location a fact is told; add `told`, or leave it out"),
        (DEPTH.replace("of: item", "of: part"), "nothing is told of a `part` as it stands; `of` is one of `room`, `room_part`, `item`"),
        (LIVESTOCK.replace(f"[{PARLOUR}]", "[sauna, parlour]"), "`parlour` is no kind of location of this pack"),
    ],
)
def test_a_told_fact_that_is_declared_wrongly_is_refused_at_its_place(fact: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(UnreadableRules) as refused:
        raised_pack(tmp_path / "rules", fact)

    assert says in refused.value.detail
    assert (refused.value.file, refused.value.line) == ("vocabulary.yaml", 3)


def test_a_fact_that_code_works_out_is_not_told(tmp_path: Path) -> None:
    changed(raised(tmp_path / "rules") / "vocabulary.yaml", "  lead: {of: part,", "  lead: {of: part, told: item,")

    with pytest.raises(UnreadableRules, match="code works `lead` out; leave `told` out, or give the fact another name"):
        draft_pack(tmp_path / "rules", "bs7671/2018-a4")


def test_an_older_format_has_nothing_told(tmp_path: Path) -> None:
    folder = raised(tmp_path / "rules", LIVESTOCK)
    for file in (*folder.glob("**/places.yaml"), *folder.glob("**/places/*.yaml")):
        file.unlink()
    for file in (*folder.glob("bs7671/*.yaml"), folder / "iec60364" / "2017.yaml"):
        file.write_text(file.read_text(encoding="utf-8").replace("format: 4", "format: 3"), encoding="utf-8")

    with pytest.raises(UnreadableRules, match="facts are told as they stand from format 4 on"):
        draft_pack(folder, "bs7671/2018")


def test_publishing_refuses_a_number_that_another_pack_has_told_in_another_unit_at_the_place_to_edit(
    pack: RulePack, tmp_path: Path
) -> None:
    folder = raised(tmp_path / "rules", LIVESTOCK, DEPTH.replace("unit: m,", "unit: A,").replace("[0.1 m, 3 m]", "[1 A, 3 A]"))
    draft = draft_pack(folder, "bs7671/2018-a3")

    demand_terms_fit(folder, "bs7671/2018-a3", draft, (draft,))
    with pytest.raises(UnreadableRules, match="`depth` is told in `A` here") as refused:
        demand_terms_fit(folder, "bs7671/2018-a3", draft, (pack,))

    assert (refused.value.file, refused.value.line) == ("vocabulary.yaml", 4)
