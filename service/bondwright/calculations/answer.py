"""The shape of a calculation's answer, and its bytes."""

from dataclasses import dataclass

import orjson


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its name and unit."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a calculation decides: the word for machines, and words to read."""

    name: str
    word: str
    words: str


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table that was read: the table by its name in the pack, what the row is of, and its number."""

    table: str
    row: str
    gives: Quantity


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the working: the formula, what went into it, and what it gave.

    `rows`: the rows of tables that it reads, both where it draws a line between two; `rules`: the rules that it goes by, by id.
    """

    says: str
    formula: str
    inputs: tuple[Quantity, ...]
    gives: Quantity
    rows: tuple[TableRow, ...]
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cited:
    """What a number or rule that was used rests on. `what`: the value, the row of a table or the rule, by its name in the pack."""

    what: str
    clause: str
    source: str
    kind: str
    confidence: str
    value: float | None = None
    unit: str | None = None
    says: str | None = None


@dataclass(frozen=True, slots=True)
class CalculationAnswer:
    """The result of a calculation with its working. `validity`: where it holds and what it leaves out, one a line.

    `weakest_source`: the least trusted confidence among `sources`; `none_needed` where nothing but the inputs was used.
    """

    calculation: str
    title: str
    results: tuple[Quantity, ...]
    judgements: tuple[Judgement, ...]
    working: tuple[Step, ...]
    sources: tuple[Cited, ...]
    weakest_source: str
    validity: tuple[str, ...]
    pack_id: str
    pack_digest: str
    cautions: tuple[str, ...]


def answer_bytes(answer: CalculationAnswer) -> bytes:
    """The answer as JSON bytes."""
    return orjson.dumps(answer)
