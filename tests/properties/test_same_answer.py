"""Changes to a description that may not change what is said of metal that they do not touch."""

import copy
from dataclasses import dataclass
from typing import Any

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from tests.properties.descriptions import Said, detailed_services, installations, with_meetings_of_what_is_there
from tests.properties.judged import Judged, judged, levels
from tests.properties.relabelling import metal_places, relabelled, unnamed

MAY_BE_METAL = ("multilayer", "unknown")
"""Materials whose halves may be metal each for itself: what was found on one half says nothing of the other."""
SECOND = "detailed_services-0/second"
MANY = settings(deadline=None, max_examples=120, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))


def accepted(said: Said) -> Judged:
    """The evaluation; the example is dropped where the description contradicts itself."""
    found = judged(said)
    assume(found is not None)
    assert found is not None
    return found


@MANY
@given(st.data(), installations())
def test_other_names_and_another_order_change_nothing_else(data: st.DataObject, said: Said) -> None:
    renamed, moves = data.draw(relabelled(said))

    before, after = accepted(said), accepted(renamed)

    assert unnamed(before) == unnamed(after, moves)


@MANY
@given(st.data(), installations())
def test_the_order_decides_not_whether_a_description_is_refused(data: st.DataObject, said: Said) -> None:
    renamed, _ = data.draw(relabelled(said))

    assert (judged(said) is None) == (judged(renamed) is None)


@MANY
@given(st.data(), installations(readings=False))
def test_plastic_in_place_of_metal_never_makes_other_metal_more_extraneous(data: st.DataObject, said: Said) -> None:
    metal = [place for place, _ in metal_places(said)]
    assume(metal)
    place = data.draw(st.sampled_from(metal))

    before, after = accepted(said), accepted(_put(said, place, "plastic"))

    more = {
        node: levels(after.parts[node])["extraneous"]
        for node in before.parts.keys() & after.parts.keys()
        if levels(after.parts[node])["extraneous"] > levels(before.parts[node])["extraneous"]
    }
    assert more == {}


def _put(said: Said, place: tuple[str | int, ...], word: str) -> Said:
    changed: Any = copy.deepcopy(said)
    holder = changed
    for step in place[:-1]:
        holder = holder[step]
    holder[place[-1]] = word
    result: Said = changed
    return result


def _with_ids(service: Said) -> Said:
    """The service, each of its lengths named."""
    named = copy.deepcopy(service)
    for number, section in enumerate(named["sections"]):
        section["id"] = f"main{number}"
        for index, branch in enumerate(section["branches"]):
            for at, length in enumerate(branch["sections"]):
                length["id"] = f"branch{number}-{index}-{at}"
    return named


def _lengths(service: Said) -> list[tuple[list[Said], int]]:
    """Each list of lengths of a service with each index in it."""
    lists = [service["sections"], *(branch["sections"] for section in service["sections"] for branch in section["branches"])]
    return [(some, index) for some in lists for index in range(len(some))]


def _split(some: list[Said], index: int) -> None:
    """Cut the length at `index` in two; what was found is found on the first, and branches leave from the second."""
    whole = some[index]
    half = whole["length_m"] if whole["length_m"] == "unknown" else whole["length_m"] / 2
    first = {**whole, "length_m": half}
    second = {**whole, "id": "second", "length_m": half, "joint_before": "continuous", "measurements": []}
    second["bonds"] = whole["bonds"] if whole["bonds"] == "unknown" else []
    if "branches" in whole:
        first["branches"] = []
    some[index : index + 1] = [first, second]


@dataclass(frozen=True, slots=True)
class Told:
    """What to do about a length, and each verdict on it without its questions."""

    act: str
    verdicts: tuple[tuple[str, str, bool, str], ...]


def _told(found: Judged) -> dict[str, Told]:
    return {
        node: Told(part.act, tuple((one.outcome, one.worst_case, one.firm, one.lowest_possible) for one in part.verdicts))
        for node, part in found.parts.items()
    }


@MANY
@given(st.data(), installations(detailed=0), detailed_services())
def test_a_traced_length_cut_in_two_is_judged_as_before_and_so_is_all_else(data: st.DataObject, said: Said, service: Said) -> None:
    whole = _with_ids(service)
    cut = copy.deepcopy(whole)
    traced = [(some, index) for some, index in _lengths(cut) if some[index]["traced"] == "yes"]
    assume(traced)
    some, index = data.draw(st.sampled_from(traced))
    own = f"detailed_services-0/{some[index]['id']}"
    certain = some[index]["material"] not in MAY_BE_METAL
    _split(some, index)

    before = _told(accepted(with_meetings_of_what_is_there({**said, "detailed_services": [whole]})))
    after = _told(accepted(with_meetings_of_what_is_there({**said, "detailed_services": [cut]})))

    halves = {after.pop(node) for node in (own, SECOND) if node in after}
    expected = before.pop(own, None)
    # Halves of a length that may be metal may differ in the model, so that one of them may come to serve a neighbour.
    assert {node: told.verdicts for node, told in before.items()} == {node: told.verdicts for node, told in after.items()}
    assert not certain or before == after
    assert not certain or halves == ({expected} if expected else set())
