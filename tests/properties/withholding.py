"""Facts that a description states, and the same description with some of them withheld."""

from collections.abc import Iterator, Mapping
from typing import Any, Literal, TypeAlias

from hypothesis import strategies as st
from tests.properties.descriptions import Said
from tests.properties.judged import pack

Place: TypeAlias = tuple[str | int, ...]
How: TypeAlias = Literal["left out", "unknown"]

_WHICH = frozenset({"kind", "id", "on", "count", "reference", "work"})
"""Keys that say what is spoken of, and state no fact about it."""
_WHOLE = frozenset({"bonds", "joined_to", "insulating_section", "ties", "circuits"})
"""Lists and objects that may also be unknown."""
_ONLY_LEFT_OUT = frozenset({"touch_current"})
"""Keys without the word `unknown`."""
_NEVER_LEFT_OUT = frozenset({"stands", "entering_pipe_stands", "inside_pipe_stands", "beyond_hidden_stands"})
"""Keys that say something where they are left out: a thing then stands where its kind usually does."""
_EVIDENCE = "measurements"


def stated(value: Any, place: Place = ()) -> Iterator[Place]:
    """The place of every fact in a description that could be withheld; a whole reading or list of bonds counts as well.

    What there is (services, items, rooms and what is in them) is no fact about a thing: who leaves a thing out describes
    another house.
    """
    match value:
        case dict():
            for key, inner in value.items():
                if key in _WHICH:
                    continue
                here = (*place, key)
                if key in _WHOLE and isinstance(inner, list | dict):
                    yield here
                if key != "joined_to" or isinstance(inner, str):
                    yield from stated(inner, here)
        case list():
            for index, inner in enumerate(value):
                if place[-1] == _EVIDENCE:
                    yield (*place, index)
                yield from stated(inner, (*place, index))
        case _ if value != "unknown":
            yield place


def is_optional(place: Place) -> bool:
    """Whether nobody is asked for it: part of a reading, a told fact that is evidence, or the designer's choice of a touch current."""
    told = pack().facts.get(str(place[-1])) if place[-2:-1] == ("told",) else None
    return _EVIDENCE in place or place == ("touch_current",) or (told is not None and told.evidence)


def without(said: Said, places: Mapping[Place, How]) -> Said:
    """`said` with the facts at `places` withheld; who keeps back which earthing a thing is on cannot say that each thing names its own."""
    named = [("earthings", index, "all_named") for index, _ in enumerate(said.get("earthings", ()))]
    all_named: dict[Place, How] = dict.fromkeys(named, "unknown") if any(place[-1] == "earthing" for place in places) else {}
    copied: Said = _copy(said, (), {**all_named, **places})
    return copied


def _copy(value: Any, place: Place, places: Mapping[Place, How]) -> Any:
    if places.get(place) == "unknown":
        return "unknown"
    match value:
        case dict():
            return {key: _copy(inner, (*place, key), places) for key, inner in value.items() if places.get((*place, key)) != "left out"}
        case list():
            return [_copy(inner, (*place, index), places) for index, inner in enumerate(value) if (*place, index) not in places]
    return value


def ways(place: Place) -> tuple[How, ...]:
    """How the fact at `place` can be withheld."""
    if place[-1] in _NEVER_LEFT_OUT:
        return ("unknown",)
    left_out_only = place[-1] in _ONLY_LEFT_OUT or isinstance(place[-1], int)
    return ("left out",) if left_out_only else ("left out", "unknown")


@st.composite
def withheld(draw: st.DrawFn, said: Said, optional_too: bool = True) -> Said:
    """`said` with one fact or several withheld, now and then nearly all."""
    places = [place for place in stated(said) if optional_too or not is_optional(place)]
    some = draw(st.lists(st.sampled_from(places), min_size=1, max_size=draw(st.sampled_from((1, 2, 4, 40))), unique=True))
    return without(said, {place: draw(st.sampled_from(ways(place))) for place in some})
