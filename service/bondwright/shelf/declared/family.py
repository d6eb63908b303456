"""What the editions of a family have to agree on: the names of their packs, and the times in which they may be used."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path

from msgspec import Struct

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.shelf.amendments import head_of, heads_of_family
from bondwright.shelf.declared.declaration import STRICT
from bondwright.shelf.header import read_beside, read_format, read_head
from bondwright.shelf.reading.nodes import Map, Node, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, suggestion


class Period(Struct, frozen=True):
    """An edition, the time in which it may be used (`last`: none for open), and where its head stands."""

    edition: str
    first: date
    last: date | None
    on_request: bool
    form: int
    beside: tuple[str, ...]
    head: Map

    def place(self, *keys: str) -> Place:
        """Where an entry of the head stands."""
        node: Node = self.head
        for key in keys:
            node = as_map(node, "`pack`").entries[key]
        return node.place

    def overlaps(self, other: "Period") -> bool:
        """Whether there is a day on which both may be used."""
        return (other.last is None or self.first <= other.last) and (self.last is None or other.first <= self.last)


def period(edition: str, head: Node) -> Period:
    """The period that the head of an edition states. Raises: UnreadableRules, as `read_head`."""
    said = read_head(head)
    first, last = said["usable_from"], said["usable_to"]
    return Period(edition, first, last, said["on_request"], read_format(head), read_beside(head), as_map(head, "`pack`"))


def check_family(folder: Path, edition: str) -> None:
    """Refuses an edition of the strict format that does not agree with the others of its family. Raises: UnreadableRules."""
    check_head(folder, edition, head_of(folder, edition))


def check_head(folder: Path, edition: str, head: Node) -> None:
    """The same of an edition that had another head."""
    others = _readable({name: other for name, other in heads_of_family(folder, edition).items() if name != edition})
    form = read_format(head)
    if newer := next((other for other in others if other.form > form), None):
        raise refused(head.place, f"`pack` lacks `format: {newer.form}`, which `{newer.edition}` of the same family has")
    if form >= STRICT:
        check_name(edition, head)
        check_periods((period(edition, head), *others), edition)


def _readable(heads: Mapping[str, Node]) -> tuple[Period, ...]:
    """The periods of the heads, those left out that cannot be read, such as of an amendment that was just opened."""
    found = []
    for name, head in heads.items():
        with suppress(UnreadableRules):
            found.append(period(name, head))
    return tuple(found)


def check_name(edition: str, head: Node) -> None:
    """Refuses a pack whose id is not that of its file and a revision. Raises: UnreadableRules."""
    said, stem = read_head(head)["pack_id"], edition.replace("/", "-")
    if not re.fullmatch(re.escape(stem) + r"-r[1-9][0-9]*", said):
        place = as_map(head, "`pack`").entries["id"].place
        raise refused(place, f"pack {shown(said)} is not named after its file; write `{stem}-r` and the revision, such as `{stem}-r1`")


def check_periods(periods: Sequence[Period], edition: str) -> None:
    """Refuses a time of use of that edition that meets another's undeclared, or declares what is not so. Raises: UnreadableRules."""
    named = {one.edition: one for one in periods}
    own = named[edition]
    for at, name in enumerate(own.beside):
        place = as_items(own.head.entries["beside"], "`beside`")[at].place
        if name not in named or name == edition:
            raise refused(
                place, f"{shown(name)} is no other edition of the family{suggestion(name, (one for one in named if one != edition))}"
            )
        if not own.overlaps(named[name]):
            raise refused(place, f"no day lies in the times of both `{edition}` and `{name}`; leave it out")
        if named[name].first > own.first:
            raise refused(place, f"`{name}` is the later of the two; its file says that they overlap")
    for earlier, later in _meeting(own, periods):
        if later.form >= STRICT and earlier.edition not in later.beside:
            both = f"from {later.first} both `{earlier.edition}` and `{later.edition}` may be used"
            detail = f"{both}; if so, name `{earlier.edition}` in `beside`"
            raise refused(later.place("usable", "from"), detail)


def _meeting(own: Period, periods: Sequence[Period]) -> Iterator[tuple[Period, Period]]:
    for other in periods:
        if other.edition != own.edition and not (other.on_request or own.on_request) and own.overlaps(other):
            yield (other, own) if (other.first, other.edition) <= (own.first, own.edition) else (own, other)
