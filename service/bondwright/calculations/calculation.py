"""What a calculation is: a name, what it is asked, and the function that works it out."""

from collections.abc import Callable, Iterable
from functools import reduce
from typing import Any

from msgspec import Struct

from bondwright.calculations.answer import Judgement, Quantity, Step, TableRow
from bondwright.calculations.bench import Bench
from bondwright.calculations.inputs import Inputs
from bondwright.errors import Contradiction, Fault
from bondwright.installation.documents import wish_of
from bondwright.rulebook.held import Sentences
from bondwright.units import significant, significant_above, significant_below


class Worked(Struct, frozen=True):
    """What a calculation came to: its results, the steps that led there, and what it decides, if anything."""

    results: tuple[Quantity, ...]
    working: tuple[Step, ...] = ()
    judgements: tuple[Judgement, ...] = ()


class Calculation(Struct, frozen=True):
    """A calculation. `validity`: where it holds and what it leaves out, a sentence each, by its code.

    `work` takes the inputs and a bench and raises OutOfRange or Contradiction.
    """

    name: str
    inputs: type[Inputs]
    validity: tuple[str, ...]
    work: Callable[[Any, Bench], Worked]

    def title(self, say: Sentences) -> str:
        """What it is called."""
        return say(f"title_{self.name.replace('-', '_')}")

    def holds(self, say: Sentences) -> tuple[str, ...]:
        """Where it holds and what it leaves out, one a line."""
        return tuple(say(code) for code in self.validity)


def quantity(name: str, value: float, unit: str) -> Quantity:
    """A number as answers give it: to ten significant digits, so that the last digits of the arithmetic do not show.

    >>> quantity("resistance", 0.1 + 0.2, "ohm").value
    0.3
    """
    return Quantity(name, significant(value), unit)


def at_most(name: str, value: float, unit: str) -> Quantity:
    """A limit that nothing may exceed: as `quantity`, but rounded down."""
    return Quantity(name, significant_below(value), unit)


def at_least(name: str, value: float, unit: str) -> Quantity:
    """A limit that a reading must reach: as `quantity`, but rounded up."""
    return Quantity(name, significant_above(value), unit)


def step(
    says: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    gives: Quantity,
    rows: tuple[TableRow, ...] = (),
    rules: tuple[str, ...] = (),
) -> Step:
    """One step of the working; `formula` names the quantities as `inputs` and `gives` do."""
    return Step(says, formula, inputs, gives, rows, rules)


def both(texts: Iterable[str], say: Sentences) -> str:
    """Texts as one, each joined to those before it; one alone is itself."""
    return reduce(lambda first, last: say("both", first=first, last=last), texts)


def needed(asked: Inputs, name: str) -> float:
    """An input that may be left out in general, but not here. Raises: Contradiction, at its place."""
    value: float | None = getattr(asked, name)
    if value is None:
        raise Contradiction((missing(asked, name, "needed for this calculation with the other inputs as they are"),))
    return value


def missing(asked: Inputs, name: str, why: str) -> Fault:
    """That an input is left out that is needed here, why, and what to write."""
    return Fault(f"/{name}", f"{why}: write {wish_of(type(asked), name)}")
