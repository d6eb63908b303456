"""The answer of a calculation as plain text: the result, the working, what it rests on, where it holds."""

from collections.abc import Iterator

from bondwright.calculations.answer import CalculationAnswer, Cited, Quantity, Step
from bondwright.report.rows import plain, row, rows, wrapped


def calculation_text(answer: CalculationAnswer) -> str:
    """The whole answer, at most WIDTH columns wide."""
    blocks = [
        [wrapped(answer.title), *_results(answer)],
        [line for number, step in enumerate(answer.working, start=1) for line in _step(number, step)],
        [row("Rests on", f"weakest source: {plain(answer.weakest_source)}"), *rows("", map(_cited, answer.sources))],
        [*rows("Holds", answer.validity), row("Pack", answer.pack_id)],
        ["CAUTIONS", *(wrapped(caution, "  - ") for caution in answer.cautions)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _results(answer: CalculationAnswer) -> Iterator[str]:
    yield from rows("Result", (f"{plain(one.name)}: {_number(one)}" for one in answer.results))
    yield from rows("Judged", (f"{plain(one.name)}: {one.words}" for one in answer.judgements))


def _step(number: int, step: Step) -> Iterator[str]:
    yield row(f"Step {number}", f"{step.says}: {step.formula}")
    yield row("  with", ", ".join(f"{plain(one.name)} = {_number(one)}" for one in step.inputs))
    yield from (row("  row", f"table {one.table}, {plain(one.row)}: {_number(one.gives)}") for one in step.rows)
    yield from (row("  rule", one) for one in step.rules)
    yield row("  gives", f"{plain(step.gives.name)} = {_number(step.gives)}")


def _cited(cited: Cited) -> str:
    held = f" = {cited.value:g} {cited.unit}" if cited.value is not None else ""
    said = f": {cited.says}" if cited.says else ""
    return f"{cited.what}{held} [{cited.clause}; {cited.source}, {plain(cited.confidence)}]{said}"


def _number(quantity: Quantity) -> str:
    return f"{quantity.value:.6g} {quantity.unit.replace('mm2', 'mm²')}"
