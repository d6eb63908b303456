"""What a caller of the released interface would trip over."""

from dataclasses import dataclass
from enum import Enum

from tests.compatibility.places import Place

RELEASED = "openapi/released.json"
CURRENT = "openapi/openapi.json"


class Direction(Enum):
    """Who sends it: what callers send may only be taken more widely, what they are answered only be promised more narrowly."""

    SENT = "sent"
    ANSWERED = "answered"

    @property
    def way_out(self) -> str:
        """What to do instead."""
        if self is Direction.SENT:
            return "keep taking what was taken, and add an optional member or another path beside it"
        return "keep the promise, and add another member beside it"


@dataclass(frozen=True, slots=True, order=True)
class Break:
    """One change that breaks a caller: the file and the place in it, what broke, and what to do instead."""

    file: str
    pointer: str
    what: str
    way_out: str

    def __str__(self) -> str:
        return f"{self.file}#{self.pointer}: {self.what}; {self.way_out}"


def gone(released: Place, what: str, way_out: str) -> Break:
    """Something that stands in the released document only."""
    return Break(RELEASED, released.pointer, what, way_out)


def changed(current: Place, what: str, way_out: str) -> Break:
    """Something that stands otherwise in the current document, or in that one only."""
    return Break(CURRENT, current.pointer, what, way_out)
