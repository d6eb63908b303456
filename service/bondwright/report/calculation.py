"""The answer of a calculation as plain text: the result, the working, what it rests on, where it holds."""

from collections.abc import Iterator

from bondwright.calculations.answer import CalculationAnswer, Cited, Quantity, Step
from bondwright.report.rows import plain, row, rows, wrapped
from bondwright.rulebook.held import Sentences


def calculation_text(answer: CalculationAnswer, say: Sentences) -> str:
    """The whole answer, at most WIDTH columns wide. `say`: the sentences of its pack."""
    weakest = say("page_weakest_source", confidence=say(f"rests_on_{answer.weakest_source}"))
    blocks = [
        [wrapped(answer.title), *_results(answer, say)],
        [line for number, step in enumerate(answer.working, start=1) for line in _step(number, step, say)],
        [row(say("label_rests_on"), weakest), *rows("", (_cited(one, say) for one in answer.sources))],
        [*rows(say("label_holds"), answer.validity), row(say("label_pack"), answer.pack_id)],
        [say("heading_cautions"), *(wrapped(caution, "  - ") for caution in answer.cautions)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _results(answer: CalculationAnswer, say: Sentences) -> Iterator[str]:
    yield from rows(say("label_result"), (f"{plain(one.name)}: {_number(one)}" for one in answer.results))
    yield from rows(say("label_judged"), (f"{plain(one.name)}: {one.words}" for one in answer.judgements))


def _step(number: int, step: Step, say: Sentences) -> Iterator[str]:
    yield row(say("label_step", number=str(number)), say("page_step", says=step.says, formula=step.formula))
    yield row(f"  {say('label_inputs')}", ", ".join(f"{plain(one.name)} = {_number(one)}" for one in step.inputs))
    for one in step.rows:
        read = say("page_row", table=one.table, row=plain(one.row), number=_number(one.gives))
        yield row(f"  {say('label_row')}", read)
    yield from (row(f"  {say('label_rule')}", one) for one in step.rules)
    yield row(f"  {say('label_gives')}", f"{plain(step.gives.name)} = {_number(step.gives)}")


def _cited(cited: Cited, say: Sentences) -> str:
    held = f" = {cited.value:g} {cited.unit}" if cited.value is not None else ""
    said = f": {cited.says}" if cited.says else ""
    return f"{cited.what}{held} [{cited.clause}; {cited.source}, {say(f'rests_on_{cited.confidence}')}]{said}"


def _number(quantity: Quantity) -> str:
    return f"{quantity.value:.6g} {quantity.unit.replace('mm2', 'mm²')}"
