"""Where a part stands: inside or not, what can be touched together with it, and what lies between it and the entry."""

from collections.abc import Mapping, Sequence

from bondwright.facts.asking import ask_keys
from bondwright.facts.row import Asked
from bondwright.metalwork.graph import Run
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Length, Survey
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


def position(lengths: Sequence[Length], maybe_one: Sequence[Length]) -> Mapping[str, FactValue]:
    """Whether any of it is inside, and can be touched from there; `maybe_one`: lengths that may be one piece with it."""
    told = [(length.stands_inside, length.touchable_with_building) for length in lengths]
    told += [(both(length.stands_inside, "unknown"), both(length.touchable_with_building, "unknown")) for length in maybe_one]
    inside, touchable = (either(*values) for values in zip(*told, strict=True))
    return {"stands_inside": inside, "touchable_with_building": touchable}


def about_position(surveyed: Survey, run: Run, lengths: Sequence[Length], pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
    """The questions about where each length stands, what can be touched together with it, and whether it is one piece with others."""
    maybe_one = surveyed.maybe_one_with(run)
    nearest = maybe_one[:1]
    near = {length.node for length in (*lengths, *nearest)}
    keys: list[str | None] = []
    if len(maybe_one) == 1 or any(length.stands_inside == "yes" for length in nearest):  # else no answer about one of them alone could tell
        keys += [link.gap for link in surveyed.joints if {link.a, link.b} <= near]
        keys += [surveyed.graph.metal_gaps.get(length.node) for length in nearest]
    about = {
        "stands_inside": [length.gaps.get("stands_inside") for length in lengths if length.stands_inside == "unknown"],
        "touchable_with_building": [length.gaps.get("touchable_with_building") for length in lengths],
    }
    return {fact: questions for fact, told in about.items() if (questions := ask_keys([*told, *keys], pack))}
