"""Bonds and readings with names and places of their own."""

from collections.abc import Sequence

from bondwright.installation.proof import Bond, Measurement
from bondwright.metalwork.lengths import Found


def found_on(owner: str, pointer: str, list_name: str, things: Sequence[tuple[int, Bond | Measurement]]) -> tuple[Found, ...]:
    """Each thing with the name it has, or its place in the list, under its owner; and its JSON Pointer."""
    return tuple(Found(f"{owner}/{thing.id or f'{list_name}-{index}'}", f"{pointer}/{list_name}/{index}", thing) for index, thing in things)


def all_found(owner: str, pointer: str, list_name: str, things: Sequence[Bond | Measurement] | str) -> tuple[Found, ...] | None:
    """The same for a whole list; none where the description says unknown."""
    return None if isinstance(things, str) else found_on(owner, pointer, list_name, list(enumerate(things)))
