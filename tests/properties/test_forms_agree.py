"""A service in the short form and the same service length by length are told the same."""

from typing import Any

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from tests.properties.descriptions import (
    Said,
    bonds,
    installations,
    measurements,
    mostly,
    unless_unknown,
    with_meetings_of_what_is_there,
    yes_no,
)
from tests.properties.judged import judged

MANY = settings(deadline=None, max_examples=60, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
METALS = st.sampled_from(("copper", "steel", "lead"))
FRAMES = st.fixed_dictionaries(
    {
        "id": st.just("s"),
        "kind": st.sampled_from(("water", "gas", "oil", "heating", "drain")),
        "comes_from": mostly("ground", "ground", "above_ground", "neighbour", "inside_only"),
        "far_end_earthing": mostly("same", "different", "separate"),
        "meter": st.just({"position": "none"}),
        "joined_to": unless_unknown(st.lists(st.sampled_from(("water", "gas", "heating")), max_size=1)),
        "protective_conductor": yes_no,
    }
)
FOUND = st.tuples(unless_unknown(st.lists(bonds, max_size=1)), st.lists(measurements, max_size=1))
CONTEXT = installations(rooms=0, detailed=0)


def told(said: Said, service: Said, form: str) -> dict[str, tuple[object, ...]]:
    """By length of the service that is in question: the act and each verdict; the example is dropped where it contradicts itself."""
    found = judged(
        with_meetings_of_what_is_there({**said, "detailed_services": [], form: [*(said[form] if form == "services" else []), service]})
    )
    assume(found is not None)
    assert found is not None
    return {
        node: (part.act, tuple((one.outcome, one.act_on, one.worst_case, one.firm, one.lowest_possible) for one in part.verdicts))
        for node, part in found.parts.items()
        if node.startswith("s/")
    }


def found_on(found: tuple[Any, list[Said]], on: str) -> Said:
    """Bonds and readings as the short form writes them, all on one length."""
    some, taken = found
    placed = some if isinstance(some, str) else [{**bond, "on": on} for bond in some]
    return {"bonds": placed, "measurements": [{**reading, "on": on} for reading in taken]}


def length(name: str, material: str, found: tuple[Any, list[Said]] | None = None, known: object = "unknown", **facts: str) -> Said:
    """A traced length in free air, unless `facts` says otherwise; `known`: its bonds where nothing else was found on it."""
    listed = {"bonds": known} if found is None else {"bonds": found[0], "measurements": found[1]}
    return {"id": name, "material": material, "traced": "yes", "surroundings": "free_air", "joint_before": "continuous", **listed, **facts}


def none_elsewhere(found: tuple[Any, list[Said]]) -> object:
    """What the short form says of bonds on the other lengths: none, if it lists any bonds at all."""
    return "unknown" if isinstance(found[0], str) else []


@MANY
@given(CONTEXT, FRAMES, METALS, FOUND)
def test_plastic_at_the_entry_then_traced_metal(said: Said, frame: Said, metal: str, found: tuple[Any, list[Said]]) -> None:
    short = {**frame, "enters_as": "plastic", "inside": metal, "hidden": "no", "joined_by": "compression", "insulating_section": "none"}
    listed = {**frame, "sections": [length("entering", "plastic", known=none_elsewhere(found)), length("inside", metal, found)]}

    one, other = told(said, {**short, **found_on(found, "inside_pipe")}, "services"), told(said, listed, "detailed_services")

    assert one == other


@MANY
@given(CONTEXT, FRAMES, METALS, METALS, FOUND)
def test_metal_that_enters_and_runs_on_in_sight(said: Said, frame: Said, entry: str, metal: str, found: tuple[Any, list[Said]]) -> None:
    short = {**frame, "enters_as": entry, "inside": metal, "hidden": "no", "joined_by": "compression", "insulating_section": "none"}
    listed = {**frame, "sections": [length("entering", entry, found), length("inside", metal, known=none_elsewhere(found))]}

    one, other = told(said, {**short, **found_on(found, "entering_pipe")}, "services"), told(said, listed, "detailed_services")

    assert one == other


@MANY
@given(CONTEXT, FRAMES, METALS, st.sampled_from(("ground_bearing_floor", "soil", "timber_floor", "unknown")), FOUND)
def test_metal_that_vanishes_and_comes_back_to_sight(
    said: Said, frame: Said, metal: str, hidden_in: str, found: tuple[Any, list[Said]]
) -> None:
    short = {**frame, "enters_as": metal, "inside": metal, "joined_by": "soldered", "insulating_section": "none"}
    short |= {"hidden": "yes", "hidden_in": hidden_in, **found_on(found, "beyond_hidden")}
    known = none_elsewhere(found)
    hidden = length("hidden", metal, known=known, traced="no", surroundings=hidden_in)
    sections = [length("entering", metal, known=known), length("inside", metal, known=known), hidden, length("beyond", metal, found)]

    one, other = told(said, short, "services"), told(said, {**frame, "sections": sections}, "detailed_services")

    assert one == other
