"""Keys of the questions behind what is unknown: a key says which questions, and of which fields of the description."""

from collections.abc import Iterable, Mapping

from bondwright.metalwork.graph import Known, Settles


def gap(ask: str, pointer: str, said: object = "unknown") -> str | None:
    """The key of a question about the description: which one, and of which field; none where that field says something."""
    return f"{ask} {pointer}" if said is None or said == "unknown" else None


def together(*keys: str | None) -> str | None:
    """One key for several questions; none where there are none."""
    there = [key for key in keys if key]
    return (there[0] if len(there) == 1 else ", ".join(dict.fromkeys(there))) if there else None


def of_metal(lies: Known, where: str | None, made_of: str | None) -> tuple[str | None, Settles]:
    """The key of what is open of a contact, and which way that settles it.

    `lies`: whether metal there touches; `where`, `made_of`: the keys of the questions where it is and of what, which is asked first.
    """
    return made_of or where, "no" if lies == "unknown" and (made_of or where is None) else "either"


def by_fact(keys: Mapping[str, str | None]) -> Mapping[str, str]:
    """Those that are there."""
    return {fact: key for fact, key in keys.items() if key}


def asked(keys: Iterable[str]) -> list[tuple[str, str]]:
    """The questions and places of keys made by `gap` and `together`, once each."""
    questions = dict.fromkeys([question for key in keys for question in key.split(", ")])
    return [(ask, pointer) for ask, _, pointer in [question.partition(" ") for question in questions]]
