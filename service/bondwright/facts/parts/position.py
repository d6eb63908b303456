"""Where a part stands: inside or not, what can be touched together with it, and what lies between it and the entry."""

from collections.abc import Mapping, Sequence

from bondwright.facts.asking import ask_keys
from bondwright.facts.row import Asked
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Length, MaybeOne, Survey
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack


def entry_section(lengths: Sequence[Length]) -> Mapping[str, FactValue]:
    """The insulating section at the entry, which every length of the part must profit by: the shortest, the farthest in."""
    sections = [length.service.entry_section for length in lengths]
    long = [section.length_m for section in sections if not isinstance(section.length_m, str)]
    far = [section.from_entry_m for section in sections if not isinstance(section.from_entry_m, str)]
    known: dict[str, FactValue] = {"insulating_section_at_entry": both(*(section.there for section in sections))}
    if len(long) == len(far) == len(sections):
        known["insulating_section_length"] = Between(min(long), min(long))
        known["insulating_section_from_entry"] = Between(max(far), max(far))
    return known


def position(lengths: Sequence[Length], maybe_one: MaybeOne) -> Mapping[str, FactValue]:
    """Whether any of it is inside, and can be touched from there; `maybe_one`: what may be one piece with it."""
    return {
        "stands_inside": either(maybe_one.inside, *(length.stands_inside for length in lengths)),
        "touchable_with_building": either(maybe_one.touchable, *(length.touchable_with_building for length in lengths)),
    }


def about_position(surveyed: Survey, lengths: Sequence[Length], maybe_one: MaybeOne, pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
    """The questions about where each length stands, what can be touched together with it, and whether it is one piece with others."""
    nearest, keys = maybe_one.nearest, list[str | None]()
    # Else no answer about one of them alone could tell.
    if nearest is not None and (maybe_one.how_many == 1 or nearest.stands_inside == "yes"):
        keys += [link.gap for link in surveyed.joints_among({nearest.node, *(length.node for length in lengths)})]
        keys.append(surveyed.graph.metal_gaps.get(nearest.node))
    about = {
        "stands_inside": [length.gaps.get("stands_inside") for length in lengths if length.stands_inside == "unknown"],
        "touchable_with_building": [length.gaps.get("touchable_with_building") for length in lengths],
    }
    return {fact: questions for fact, told in about.items() if (questions := ask_keys([*told, *keys], pack))}
