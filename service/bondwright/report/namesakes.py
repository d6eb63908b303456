"""Parts that are called alike: the place of each in the description stands behind what is told of it."""

from collections.abc import Iterable, Mapping

from bondwright.compose.answer import Evaluation


def told_apart(evaluation: Evaluation) -> Mapping[str, str]:
    """By part, its place as a JSON Pointer: of those alone that share their name with a part of another group."""
    parts = {part.part: part for part in evaluation.parts}
    groups: dict[str, set[int]] = {}
    for number, group in enumerate(evaluation.groups):
        for one in group.parts:
            groups.setdefault(parts[one].name, set()).add(number)
    return {name: part.pointer for name, part in parts.items() if len(groups.get(part.name, ())) > 1}


def placed(line: str, parts: Iterable[str], places: Mapping[str, str]) -> str:
    """A line told of some parts, with the places of those among them that are in `places` behind it."""
    found = dict.fromkeys(places[part] for part in parts if part in places)
    return f"{line} [{', '.join(found)}]" if found else line
