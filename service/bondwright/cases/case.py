"""What a worked case is: a claim about an installation with all that is expected of the answer, and its near miss."""

from dataclasses import dataclass, field
from typing import Any, TypeAlias

from bondwright.cases.positions import position
from bondwright.errors import UnreadableRules

Json: TypeAlias = Any

WHOLE = "/"
"""Stands for a whole case where a JSON Pointer into it is written."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """One thing that is expected of an answer, and where it stands in the file.

    `subject`: `parts`, `rooms`, `bonds`, `earthings`, `feeder`, `plan` or a size. `name`: of the part, room, bond or earthing; else empty.
    `key`: what is expected of it; empty where it is expected not to be there (`null`). `pointer`: JSON Pointer into the file.
    """

    subject: str
    name: str
    key: str
    wanted: Json
    pointer: str

    def words(self) -> str:
        """What it is about: `main_bonding of parts water/entering`."""
        of = f"{self.subject} {self.name}".strip()
        return f"{self.key} of {of}" if self.key else of


@dataclass(frozen=True, slots=True)
class Claim:
    """What is said of one installation. `described`: JSON Pointer to what describes it, in the case or as the change of a near miss.

    `told`: what stands at that pointer; `installation`: the whole description.
    """

    says: str
    installation: Json
    described: str
    told: Json
    expectations: tuple[Expectation, ...]


@dataclass(frozen=True, slots=True)
class Case:
    """A worked case: `file` within the rules folder, `name` the file's name without its ending, `text` what the file holds.

    `further`: more near misses, such as the other rows of a table.
    """

    file: str
    name: str
    rests_on: str
    claim: Claim
    near_miss: Claim
    further: tuple[Claim, ...]
    text: bytes = field(repr=False)

    @property
    def claims(self) -> tuple[tuple[str, Claim], ...]:
        """The claim and its near misses, each with its name in what is reported."""
        further = ((f"{self.file} (further {number})", claim) for number, claim in enumerate(self.further, start=1))
        return (self.file, self.claim), (f"{self.file} (near miss)", self.near_miss), *further

    def place(self, pointer: str) -> str:
        """Where a JSON Pointer into the file points, as `file:line:column`."""
        line, column = position(self.text, pointer)
        return f"{self.file}:{line}:{column}"

    def refused(self, pointer: str, detail: str) -> UnreadableRules:
        """The error to raise for what stands there."""
        return UnreadableRules(self.file, *position(self.text, pointer), detail)
