"""Nothing that nobody knows joins two earthings or parts them, whatever rules say: read off the description, not off what is concluded."""

from typing import Any

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from tests.properties.descriptions import EARTHINGS, Said, installations
from tests.properties.judged import judged

MANY = settings(deadline=None, max_examples=80, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))


def on_the_supply(said: Said, pointer: str) -> bool:
    """Whether the description says that the service or item at a place is on the earthing of the supply."""
    value: Any = said
    named = "unknown"
    for step in pointer.strip("/").split("/"):
        value = value[int(step)] if isinstance(value, list) else value[step]
        if isinstance(value, dict) and "sections" not in step and value.get("earthing", "unknown") != "unknown":
            named = value["earthing"]
    all_named = all(one["all_named"] == "yes" for one in said["earthings"])
    return named == "supply" or (named == "unknown" and all_named)


def with_some(said: Said) -> bool:
    """Whether a further earthing is described."""
    return bool(said.get("earthings"))


@MANY
@given(installations(rooms=0).filter(with_some))
def test_nothing_is_joined_to_the_main_earthing_terminal_that_may_be_on_another_earthing(said: Said) -> None:
    found = judged(said)
    assume(found is not None)
    assert found is not None

    joined = {one.part for one in found.evaluation.plan.connections}
    told = {part.part: (part.mark, part.pointer) for part in found.evaluation.parts}
    joined |= {part for part, (mark, _) in told.items() if mark in ("do", "measure_first")}
    assert [part for part in sorted(joined) if not on_the_supply(said, told[part][1])] == []


@MANY
@given(installations(rooms=1).filter(with_some))
def test_what_joins_two_earthings_is_left_where_all_of_it_is_said_to_carry_the_current_of_both(said: Said) -> None:
    found = judged(said)
    assume(found is not None)
    assert found is not None

    described = {one["id"]: one for one in said["earthings"]}
    for earthing in found.evaluation.earthings:
        ties = described[earthing.earthing]["ties"]
        carrying = ties != "unknown" and all("yes" in (tie["parted"], tie["carries_fault_current"]) for tie in ties)
        apart = ties != "unknown" and all(tie["parted"] == "yes" for tie in ties)
        assert earthing.mark != "remove"
        assert earthing.mark != "leave" or (carrying if earthing.act == "earthing_joined_well" else apart)


@MANY
@given(st.data(), installations(rooms=1).filter(with_some))
def test_an_earthing_of_which_less_is_told_is_never_left_sooner(data: st.DataObject, said: Said) -> None:
    fields = ("rests_on", "all_named", "ties", "touchable_with_other", "electrode_resistance", "rcd_rating_ma", "rcd_tested")
    held_back = data.draw(st.sets(st.sampled_from(fields), min_size=1))
    lesser = {**said, "earthings": [{**one, **dict.fromkeys(held_back, "unknown")} for one in said["earthings"]]}
    fuller, held = judged(said), judged(lesser)
    assume(fuller is not None and held is not None)
    assert fuller is not None and held is not None

    marks = [(one.mark, other.mark) for one, other in zip(fuller.evaluation.earthings, held.evaluation.earthings, strict=True)]
    assert [pair for pair in marks if pair[0] != "leave" and pair[1] == "leave"] == []
    assert len(marks) <= len(EARTHINGS)
