"""Named numbers of a pack."""

from dataclasses import dataclass

from bondwright.rulebook.facts import Place


@dataclass(frozen=True, slots=True)
class NamedValue:
    """A named number with unit, clause, source and confidence, such as a limit or a resistivity."""

    name: str
    value: float
    unit: str
    clause: str
    source: str
    kind: str
    confidence: str
    place: Place
