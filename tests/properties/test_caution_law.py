"""Withholding facts never makes an evaluation less cautious, and what is called firm stays."""

from collections.abc import Iterable, Iterator

from hypothesis import HealthCheck, Phase, assume, example, given, settings
from hypothesis import strategies as st
from tests.properties import traps
from tests.properties.descriptions import Said, installations, locations
from tests.properties.judged import Judged, judged, level, levels, pack
from tests.properties.withholding import is_optional, stated, ways, withheld, without

from bondwright.compose.answer import SizeVerdict, Verdict
from bondwright.members import replace

MANY = settings(deadline=None, max_examples=150, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
FEW = settings(MANY, max_examples=12, phases=(Phase.explicit, Phase.reuse, Phase.generate))
"""For laws that try every fact of an example in turn; to make a failure smaller in this way would take minutes."""


def both_judged(fuller: Said, held: Said) -> tuple[Judged, Judged]:
    """The two evaluations; the example is dropped where either description contradicts itself."""
    one, other = judged(fuller), judged(held)
    assume(one is not None and other is not None)
    assert one is not None and other is not None
    return one, other


def less_cautious(fuller: Judged, held: Judged) -> list[str]:
    """Where the evaluation that was told less is less cautious, in words."""
    return [
        *_parts(fuller, held),
        *_rooms(fuller, held),
        *_sizes(fuller, held),
        *_bonds(fuller, held),
        *_readings(fuller, held),
        *_feeder(fuller, held),
        *_earthings(fuller, held),
    ]


def _parts(fuller: Judged, held: Judged) -> Iterator[str]:
    for node in fuller.parts:
        there = held.holding(node)
        if not there:
            yield f"{node} has no part any more"
        for name in there:
            before, after = levels(fuller.parts[node]), levels(held.parts[name])
            yield from (
                f"{outcome} of {node}: {before[outcome]} to {after[outcome]}" for outcome in before if after[outcome] < before[outcome]
            )
            yield from _verdicts(node, fuller.parts[node].findings, _found_of(held, name))


def _found_of(one: Judged, name: str) -> list[Verdict]:
    """What is found of a part, the worst of each outcome: its own, and what is told once of the parts that serve it, and their bonds."""
    served_by = [one.parts[each] for each in one.parts[name].covered_by]
    told = [found for part in (one.parts[name], *served_by) for found in part.findings]
    reports = [found for part in served_by for bond in part.bonds for found in bond.verdicts if found.outcome == "bond_report"]
    dangers = pack().outcomes["danger"].levels
    told += [replace(found, outcome="danger", worst_case=dangers[level(found)]) for found in reports]
    return list({found.outcome: found for found in sorted(told, key=level)}.values())


def _verdicts(where: str, before: Iterable[Verdict], after: Iterable[Verdict]) -> Iterator[str]:
    """Outcomes that both tell of, and that are less cautious after."""
    told = {one.outcome: one for one in after}
    coded = "danger" in told and told["danger"].act_on == "potentially_dangerous"
    for one in before:
        if one.outcome == "verification" and coded:
            continue  # what is coded need not be investigated first
        if one.outcome in told and level(told[one.outcome]) < level(one):
            yield f"{one.outcome} of {where}: {one.worst_case} to {told[one.outcome].worst_case}"


def _readings(fuller: Judged, held: Judged) -> Iterator[str]:
    """A reading withheld whole lets the next one take its place; then there is nothing to compare."""
    before, after = ({reading.pointer: reading for part in one.evaluation.parts for reading in part.readings} for one in (fuller, held))
    for pointer in before if before.keys() == after.keys() else ():
        yield from _verdicts(pointer, [before[pointer].verdict], [after[pointer].verdict])


def _feeder(fuller: Judged, held: Judged) -> Iterator[str]:
    before, after = fuller.evaluation.feeder, held.evaluation.feeder
    if before and after:
        yield from _verdicts(before.pointer, [before.verdict], [after.verdict])


def _earthings(fuller: Judged, held: Judged) -> Iterator[str]:
    for one, other in zip(fuller.evaluation.earthings, held.evaluation.earthings, strict=True):
        yield from _verdicts(one.pointer, (*one.verdicts, *one.findings), (*other.verdicts, *other.findings))


def _rooms(fuller: Judged, held: Judged) -> Iterator[str]:
    for room, other in zip(fuller.evaluation.rooms, held.evaluation.rooms, strict=True):
        if level(other.verdicts[0]) < level(room.verdicts[0]):
            yield f"supplementary bonding of {room.pointer}: {room.verdicts[0].worst_case} to {other.verdicts[0].worst_case}"
            continue
        yield from _verdicts(room.pointer, room.findings, other.findings)
        for link, same in zip(room.links, other.links, strict=bool(room.links)):
            yield from _size(link.least_size, same.least_size)
        if room.resistance_limit is not None:
            assert other.resistance_limit is not None
            yield from _size(room.resistance_limit, other.resistance_limit)


def _sizes(fuller: Judged, held: Judged) -> Iterator[str]:
    before, after = fuller.evaluation, held.evaluation
    yield from _size(before.main_bond_size, after.main_bond_size)
    yield from _size(before.earthing_conductor_size, after.earthing_conductor_size)


def _size(before: SizeVerdict, after: SizeVerdict) -> Iterator[str]:
    if pack().outcomes[before.outcome].cautious == "larger" and after.highest < before.highest:
        yield f"{before.outcome}: at most {before.highest} to at most {after.highest}"
    if pack().outcomes[before.outcome].cautious == "smaller" and after.lowest > before.lowest:
        yield f"{before.outcome}: at least {before.lowest} to at least {after.lowest}"


def _bonds(fuller: Judged, held: Judged) -> Iterator[str]:
    after = {bond.pointer: bond for part in held.evaluation.parts for bond in part.bonds}
    for bond in (bond for part in fuller.evaluation.parts for bond in part.bonds if bond.pointer in after):
        for verdict, same in zip(bond.verdicts, after[bond.pointer].verdicts, strict=True):
            if level(same) < level(verdict):
                yield f"{verdict.outcome} of {bond.pointer}: {verdict.worst_case} to {same.worst_case}"


@MANY
@given(st.data(), installations())
def test_withholding_facts_never_makes_an_evaluation_less_cautious(data: st.DataObject, said: Said) -> None:
    fuller, held = both_judged(said, data.draw(withheld(said)))

    assert less_cautious(fuller, held) == []


@FEW
@given(installations())
@example(traps.NOTHING_BEYOND_THE_ENTRY)
@example(traps.PLASTIC_BETWEEN_METALS)
@example(traps.STEEL_ON_STEEL)
@example(traps.OUTSIDE_BEYOND_A_JOINT)
@example(traps.FAILED_BOND_IN_DOUBT)
def test_withholding_any_one_fact_never_makes_an_evaluation_less_cautious(said: Said) -> None:
    fuller = judged(said)
    assume(fuller is not None)
    assert fuller is not None

    for place in stated(said):
        held = judged(without(said, {place: ways(place)[-1]}))
        assert held is None or (place, less_cautious(fuller, held)) == (place, [])


@MANY
@given(installations())
@example(traps.TWO_NEUTRALS)
def test_no_size_for_now_is_less_cautious_than_what_is_certain(said: Said) -> None:
    one = judged(said)
    assume(one is not None)
    assert one is not None

    links = [link.least_size for room in one.evaluation.rooms for link in room.links]
    for size in (one.evaluation.main_bond_size, one.evaluation.earthing_conductor_size, *links):
        assert size.provisional is None or size.provisional >= size.lowest


@MANY
@given(st.data(), installations(), locations())
def test_leaving_a_rooms_metal_or_circuits_unknown_never_makes_the_room_less_cautious(data: st.DataObject, said: Said, room: Said) -> None:
    described = {**said, "locations": [room]}
    some = data.draw(st.sets(st.sampled_from(("services", "items", "circuits")), min_size=1))

    fuller, held = both_judged(described, {**said, "locations": [{**room, **dict.fromkeys(some, "unknown")}]})

    assert list(_rooms(fuller, held)) == []


def firm_and_changed(fuller: Judged, held: Judged) -> Iterator[str]:
    """Firm verdicts of the evaluation that was told less which the other overturns, in words."""
    for node in fuller.parts:
        for name in held.holding(node):
            yield from _overturned(node, held.parts[name].verdicts, fuller.parts[node].verdicts)
    for room, other in zip(held.evaluation.rooms, fuller.evaluation.rooms, strict=True):
        yield from _overturned(room.pointer, room.verdicts, other.verdicts)
    for earthing, same in zip(held.evaluation.earthings, fuller.evaluation.earthings, strict=True):
        yield from _overturned(earthing.pointer, (*earthing.verdicts, *earthing.findings), (*same.verdicts, *same.findings))
    before = {bond.pointer: bond for part in fuller.evaluation.parts for bond in part.bonds}
    for bond in (bond for part in held.evaluation.parts for bond in part.bonds if bond.pointer in before):
        yield from _overturned(bond.pointer, bond.verdicts, before[bond.pointer].verdicts)
    for size in ("main_bond_size", "earthing_conductor_size"):
        firm, told = getattr(held.evaluation, size), getattr(fuller.evaluation, size)
        if firm.firm and (firm.lowest, firm.highest) != (told.lowest, told.highest):
            yield f"firm {size}: {firm.highest} to {told.highest}"


def _overturned(where: str, firm: tuple[Verdict, ...], told: tuple[Verdict, ...]) -> Iterator[str]:
    for one, other in zip(firm, told, strict=True):
        if one.firm and one.worst_case != other.worst_case:
            yield f"firm {one.outcome} of {where}: {one.worst_case} to {other.worst_case}"


@MANY
@given(st.data(), installations())
def test_no_missing_fact_but_a_reading_overturns_a_firm_verdict(data: st.DataObject, said: Said) -> None:
    fuller, held = both_judged(said, data.draw(withheld(said, optional_too=False)))

    assert list(firm_and_changed(fuller, held)) == []


@FEW
@given(installations())
@example(traps.READING_BEYOND_A_JOINT)
@example(traps.RAISED_TOUCH_CURRENT)
@example(traps.OUTSIDE_BEYOND_A_JOINT)
def test_no_single_missing_fact_but_a_reading_overturns_a_firm_verdict(said: Said) -> None:
    fuller = judged(said)
    assume(fuller is not None)
    assert fuller is not None

    for place in stated(said):
        held = None if is_optional(place) else judged(without(said, {place: ways(place)[-1]}))
        assert held is None or (place, list(firm_and_changed(fuller, held))) == (place, [])


def lowered_below_possible(fuller: Judged, held: Judged) -> Iterator[str]:
    """Verdicts of the evaluation that was told more which lie below what the other called possible, in words."""
    for node in fuller.parts:
        for name in held.holding(node):
            for one, other in zip(held.parts[name].verdicts, fuller.parts[node].verdicts, strict=True):
                ladder = pack().outcomes[one.outcome].levels
                if level(other) < ladder.index(one.lowest_possible):
                    yield f"{one.outcome} of {node}: {one.lowest_possible} called lowest, {other.worst_case} came about"


@MANY
@given(st.data(), installations())
def test_no_missing_fact_brings_a_part_below_its_lowest_possible_level(data: st.DataObject, said: Said) -> None:
    fuller, held = both_judged(said, data.draw(withheld(said)))

    assert list(lowered_below_possible(fuller, held)) == []


NOTHING_IS_JOINED = frozenset({"stop", "settle_first", "do_not_connect"})
"""Marks of the acts by which nothing is connected for now."""


@MANY
@given(st.data(), installations())
def test_withholding_facts_never_leads_from_not_connecting_to_connecting(data: st.DataObject, said: Said) -> None:
    fuller, held = both_judged(said, data.draw(withheld(said)))

    turned = {
        (node, part.act, held.parts[name].act)
        for node, part in fuller.parts.items()
        for name in held.holding(node)
        if part.mark in NOTHING_IS_JOINED and held.parts[name].mark == "do"
    }
    assert turned == set()


@MANY
@given(installations())
def test_nothing_is_joined_where_something_may_speak_against_it(said: Said) -> None:
    found = judged(said)
    assume(found is not None)
    assert found is not None

    joined = {part.part: part.act for part in found.evaluation.parts if levels(part)["objection"] and part.mark in ("do", "measure_first")}
    assert joined == {}


@MANY
@given(installations())
def test_no_doubt_leads_to_taking_a_bond_off(said: Said) -> None:
    found = judged(said)
    assume(found is not None)
    assert found is not None

    parts = found.evaluation.parts
    taken_off = [one for part in parts for bond in part.bonds for one in bond.verdicts if one.act_on == "disconnect"]
    deciding = [one for part in parts if part.mark == "remove" for one in part.verdicts if one.outcome in ("main_bonding", "objection")]
    assert [one.outcome for one in (*taken_off, *deciding) if not one.firm] == []


@MANY
@given(installations())
def test_an_unknown_alone_makes_nobody_bond_without_measuring_first(said: Said) -> None:
    found = judged(said)
    assume(found is not None)
    assert found is not None

    unsure = {
        part.part
        for part in found.evaluation.parts
        for verdict in part.verdicts
        if part.act == "bond" and verdict.outcome == "main_bonding" and not verdict.firm
    }
    assert unsure == set()


def test_most_descriptions_are_not_refused() -> None:
    refused: list[bool] = []

    @settings(MANY, max_examples=100, derandomize=True)
    @given(installations())
    def count(said: Said) -> None:
        refused.append(judged(said) is None)

    count()

    assert sum(refused) < len(refused) / 4
