"""Facts that are told as they stand: what a pack may declare of them."""

from collections.abc import Mapping

from bondwright.rulebook.facts import FactDefinition
from bondwright.shelf.declared.declaration import DECLARING, Declaration, in_format, section
from bondwright.shelf.reading.nodes import Map, refused
from bondwright.shelf.reading.scalars import as_map, listed, suggestion

_KINDS = "room_kinds"
_OF = ("room", "room_part", "item", "service", "circuit")
"""What a told fact may be about: a location, or what is in one."""


def check_told(root: Map, facts: Mapping[str, FactDefinition], read: Declaration, form: int) -> None:
    """Refuses a told fact of an older format, one that code works out, and one that is told in a kind of location that is not there.

    Raises: UnreadableRules.
    """
    for name, fact in facts.items():
        if not fact.told:
            continue
        place = section(root, "facts", name, "told").place
        if form < DECLARING:
            raise refused(
                place, f"facts are told as they stand from format {DECLARING} on; write `format: {DECLARING}`, or leave `told` out"
            )
        if name in read.facts and in_format(read.facts[name].until, form):
            raise refused(place, f"code works `{name}` out; leave `told` out, or give the fact another name")
        if strange := [of for of in fact.of if of not in _OF]:
            said = f"nothing is told of a `{strange[0]}` as it stands; `of` is one of {listed(_OF)}"
            raise refused(section(root, "facts", name, "of").place, said)
        tables = as_map(root.entries["properties"], "`properties`").entries
        kinds = as_map(tables[_KINDS], "a table").keys if _KINDS in tables else {}
        for kind in fact.only_in:
            if kind not in kinds:
                said = f"`{kind}` is no kind of location of this pack{suggestion(kind, kinds)}"
                raise refused(section(root, "facts", name, "in").place, said)
