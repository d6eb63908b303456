"""Metal outside the building: nothing new is joined to it on a PME or unknown supply, and knowing less of where it stands frees nothing."""

from collections.abc import Iterator, Mapping

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from tests.described import described, terms
from tests.properties.descriptions import OUTDOOR_ITEMS, Said, detailed_services, installations, items
from tests.properties.judged import Judged, judged, levels, pack

from bondwright.compose.answer import Evaluation, PartAnswer
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

MANY = settings(deadline=None, max_examples=150, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
PME_APPLIES: Said = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
WORK: Said = {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}}
UNJUDGED = tuple(kind for kind in terms().words("item") if not pack().kind("item", kind).judged)
OUT_OF_REACH: Said = {"stands": "outside", "touchable_with_building": "no"}
CONNECTED = frozenset({"bond", "measure_or_bond", "repair", "measure_or_repair", "mend", "test_bond", "keep"})
"""Acts that make, mend or keep a connection."""


@st.composite
def outdoor_items(draw: st.DrawFn) -> Said:
    """An item that stands outside, or of which nobody says or knows where it stands."""
    item = {**draw(items()), "kind": draw(st.sampled_from(OUTDOOR_ITEMS))}
    stands = draw(st.sampled_from(("outside", "unknown", "unsaid")))
    return {key: inner for key, inner in item.items() if key != "stands"} if stands == "unsaid" else {**item, "stands": stands}


def maybe_on_pme() -> st.SearchStrategy[Said]:
    """A supply with PME conditions, or one of which nobody says it; sometimes its earth may come by a feeding circuit."""
    feeder = {"comes_from": "another_building"}
    return st.sampled_from(
        (
            PME_APPLIES,
            {"earthing_system": "TN-S"},
            {},
            {**PME_APPLIES, "pme_conditions": "unknown"},
            {"earthing_system": "TT", "further_supplies": [{"pme_conditions": "apply"}]},
            {**PME_APPLIES, "feeder": {**feeder, "earth": "carried_over"}},
            {**PME_APPLIES, "feeder": feeder},
        )
    )


def connecting(evaluation: Evaluation, pointers: tuple[str, ...]) -> Mapping[str, str]:
    """Of the parts at `pointers` those to which something is joined or kept joined, with the act."""
    made = {one.part for one in evaluation.plan.connections}
    here = [part for part in evaluation.parts if part.pointer in pointers]
    assert len(here) == len(pointers), "nothing was examined"
    return {part.part: part.act for part in here if part.act in CONNECTED or part.mark in ("do", "measure_first") or part.part in made}


def accepted(said: Said) -> Judged:
    """The evaluation; the example is dropped where the description contradicts itself."""
    found = judged(said)
    assume(found is not None)
    assert found is not None
    return found


@MANY
@given(installations(rooms=0), maybe_on_pme(), st.lists(outdoor_items(), min_size=1, max_size=3))
def test_nothing_is_joined_to_metal_that_may_stay_outside_where_the_earth_may_be_that_of_pme(
    said: Said, supply: Said, outside: list[Said]
) -> None:
    metal = [{**item, "material": "steel"} for item in outside]

    found = accepted({**said, "supply": supply, "items": metal})

    assert connecting(found.evaluation, tuple(f"/items/{index}" for index in range(len(metal)))) == {}


@MANY
@given(installations(rooms=0, detailed=0), maybe_on_pme(), detailed_services(), st.sampled_from(("outside", "unknown")))
def test_nothing_is_joined_to_a_pipe_that_may_stay_outside_where_the_earth_may_be_that_of_pme(
    said: Said, supply: Said, service: Said, stands: str
) -> None:
    outside = _all_standing({**service, "joined_to": []}, stands)

    found = accepted({**said, "supply": supply, "detailed_services": [outside]})

    here = [part for part in found.evaluation.parts if part.pointer.startswith("/detailed_services")]
    assert {part.part: part.act for part in here if part.act in CONNECTED and levels(part)["extraneous"]} == {}


def _all_standing(service: Said, stands: str) -> Said:
    lengths = [{**one, "stands": stands} for one in service["sections"]]
    branched = [
        {**one, "branches": [_all_standing(branch, stands) for branch in one["branches"]]} if "branches" in one else one for one in lengths
    ]
    return {**service, "sections": branched}


@MANY
@given(installations(rooms=0), items(), st.sampled_from(("stands", "touchable_with_building", "both of them")))
def test_withholding_where_an_item_stands_or_what_can_be_touched_with_it_frees_nothing(said: Said, item: Said, which: str) -> None:
    told = {"stands": "outside", **item}
    hidden = ("stands", "touchable_with_building") if which == "both of them" else (which,)

    fuller = accepted({**said, "items": [told]})
    held = accepted({**said, "items": [{**told, **dict.fromkeys(hidden, "unknown")}]})

    assert list(_lowered(fuller, held)) == []


def _lowered(fuller: Judged, held: Judged) -> Iterator[str]:
    assert any(part.pointer == "/items/0" for part in held.parts.values()), "nothing was examined"
    for node, part in fuller.parts.items():
        before, after = levels(part), levels(held.parts[node])
        yield from (f"{outcome} of {node}" for outcome in before if after[outcome] < before[outcome])


@MANY
@given(installations(), st.sampled_from(OUTDOOR_ITEMS), st.sampled_from(("soil", "concrete_or_masonry", "nothing_earthy")))
def test_metal_outside_and_out_of_reach_changes_nothing_for_the_rest(said: Said, kind: str, touches: str) -> None:
    apart = {
        "kind": kind,
        "material": "steel",
        "fed_by": "nothing",
        "touches": touches,
        "stands": "outside",
        "touchable_with_building": "no",
        "earthing": "supply",
    }

    without = accepted(said)
    beside = accepted({**said, "items": [*said["items"], apart]})

    added = beside.parts[f"items-{len(said['items'])}"]
    assert levels(added)["main_bonding"] == 0
    assert {node: _told(part) for node, part in beside.parts.items() if part is not added} == {
        node: _told(part) for node, part in without.parts.items()
    }
    assert beside.evaluation.rooms == without.evaluation.rooms


def _told(part: PartAnswer) -> tuple[object, ...]:
    return part.act, part.line, part.verdicts, part.findings


@MANY
@given(maybe_on_pme(), st.sampled_from(UNJUDGED), st.sampled_from(("inside", "outside", "both", "unknown")), st.sampled_from(("yes", "no")))
def test_a_kind_without_rules_stays_not_judged_wherever_it_stands(supply: Said, kind: str, stands: str, touchable: str) -> None:
    item = {"kind": kind, "material": "steel", "touches": "soil", "stands": stands, "touchable_with_building": touchable}

    (part,) = accepted({**WORK, "supply": supply, "items": [item]}).evaluation.parts

    assert part.act == "not_judged"
    assert [verdict.outcome for verdict in part.verdicts if verdict.firm or verdict.act_on != "not_judged"] == []


def told_by(rules: RulePack, said: Said) -> Evaluation:
    """What a pack says of a description."""
    return evaluate(described(said), rules, TwoChannels(rules, Kept()).acts)


def test_the_law_is_broken_by_the_pack_that_knew_no_outside() -> None:
    gate = {"kind": "gate", "material": "steel", "fed_by": "nothing", "touches": "soil", "stands": "outside"}
    said = {**WORK, "supply": PME_APPLIES, "items": [gate]}
    second = next(one.whole() for one in on_shelf(rules_folder()) if one.pack_id == "bs7671-2018-a4-r2")

    before = connecting(told_by(second, said), ("/items/0",))

    assert before == {"items-0": "bond"}
    assert connecting(told_by(pack(), said), ("/items/0",)) == {}
