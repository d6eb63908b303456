"""Facts: what is known about one subject, with unknown as a value."""

from collections.abc import Mapping
from enum import IntEnum
from typing import Literal, NamedTuple, TypeAlias

from msgspec import Struct

UNKNOWN = "unknown"
YES = "yes"
NO = "no"
Known: TypeAlias = Literal["yes", "unknown", "no"]
"""Whether something is so: certainly, perhaps, certainly not."""


class Truth(IntEnum):
    """Strong Kleene truth of a condition: certainly false, unknown, certainly true."""

    FALSE = 0
    UNKNOWN = 1
    TRUE = 2


class Between(Struct, frozen=True):
    """A number known to lie from `lowest` to `highest`, both included; a known number has both equal."""

    lowest: float
    highest: float

    @property
    def known(self) -> bool:
        """True when only one value is left."""
        return self.lowest == self.highest


FactValue: TypeAlias = str | Between
"""`yes`, `no`, a choice or `unknown` as text; a number as `Between`."""

Facts: TypeAlias = Mapping[str, FactValue]
"""One subject's row: every fact of its kind present, earlier outcomes included (as `Between` of level indexes)."""


class Place(NamedTuple):
    """Where something stands in a rule file: file name within the rules folder, line and column from 1."""

    file: str
    line: int
    column: int


class FactDefinition(Struct, frozen=True):
    """One declared fact.

    `of`: kinds of subject that it is about, one or more. `choices`: allowed values of a choice (without unknown), empty otherwise.
    `lowest`, `highest`: range of a number in `unit`; an unknown number is that whole range.
    `ask`: the question to put to a person. `evidence`: optional proof, such as a reading, that nobody must supply.
    `worked_from`: named values and reference tables of the pack from which it is worked out, so that a verdict resting on it rests on them.
    `told`: the described things of which it is told as it stands (location, item, service, circuit); none where code works it out.
    `only_in`: the kinds of location in which it is told; none for all.
    """

    name: str
    of: tuple[str, ...]
    kind: Literal["yes_no", "choice", "number"]
    meaning: str
    ask: str
    evidence: bool = False
    choices: tuple[str, ...] = ()
    unit: str = ""
    lowest: float = 0.0
    highest: float = 0.0
    worked_from: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    only_in: tuple[str, ...] = ()

    def unknown(self) -> FactValue:
        """The value that says nothing is known."""
        return Between(self.lowest, self.highest) if self.kind == "number" else UNKNOWN
