"""What is asked for on the terminal, or given as an option, until it can be right."""

import re
from argparse import ArgumentTypeError, Namespace
from collections.abc import Callable, Iterable, Sequence
from datetime import date

from msgspec import Struct

from bondwright.cli.rules.choosing import WrongCall, day, did_you_mean, today
from bondwright.cli.rules.setting.cell import Cell
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.editor_schema import editor_schema
from bondwright.units import decimal


class Entry(Struct, frozen=True):
    """What is to stand in the cell, as a rule file writes it, and on what it rests."""

    value: str
    clause: str
    source: str
    kind: str
    confidence: str
    checked_on: date


def entry(asked: Namespace, pack: RulePack, cell: Cell) -> Entry:
    """What was given as options, and the rest as answered on the terminal. Raises: WrongCall."""
    print(cell.told)
    may_be = editor_schema(pack)["$defs"]["source"]["properties"]
    unit, fault_of = (f" in {cell.unit}" if cell.unit else ""), _fault_of_number if cell.is_number else _fault_of_line
    value = given(asked.value, f"new entry{unit}: ", fault_of)
    again = given(asked.again, "the same once more: ", fault_of)
    if value != again:
        raise WrongCall(f"the two entries differ, `{value}` and `{again}`; nothing was written")
    return Entry(
        cell.written(value),
        given(asked.clause, f"clause, such as {cell.clause}: ", _fault_of_line),
        given(asked.source, f"source, a name in sources.yaml, such as {cell.source}: ", member(may_be["from"]["enum"])),
        given(asked.kind, f"kind ({', '.join(may_be['kind']['enum'])}): ", member(may_be["kind"]["enum"])),
        given(asked.confidence, f"confidence ({', '.join(may_be['confidence']['enum'])}): ", member(may_be["confidence"]["enum"])),
        day(given(asked.checked_on or _unasked(asked), f"checked on (such as {today()}): ", _fault_of_day)),
    )


def given(option: str | None, question: str, fault_of: Callable[[str], str]) -> str:
    """The option, or else the answer to the question, asked until it is right. Raises: WrongCall."""
    if option is not None:
        if fault := fault_of(option):
            raise WrongCall(f"{fault}; nothing was written")
        return option
    while True:
        try:
            answer = input(question).strip()
        except EOFError:
            raise WrongCall("the answers end here; nothing was written") from None
        fault = fault_of(answer)
        if not fault:
            return answer
        print(f"  {fault}")


def member(known: Sequence[str]) -> Callable[[str], str]:
    """What is wrong with an answer that is none of these."""
    return lambda answer: "" if answer in known else f"`{answer}` is not known{did_you_mean(answer, known)}; known: {words(known)}"


def words(names: Iterable[str]) -> str:
    """The names in backticks."""
    return ", ".join(f"`{name}`" for name in names)


def _unasked(asked: Namespace) -> str | None:
    """Today, for a call with options that leaves the date out; None where everything is asked for."""
    return str(today()) if asked.value else None


def _fault_of_number(answer: str) -> str:
    return "" if decimal(answer) is not None else f"`{answer}` is no number as rule files write one; write digits with a dot, such as `1.5`"


def _fault_of_line(answer: str) -> str:
    return "" if re.fullmatch(r"[^\"\\\n]+", answer) else "write one line, without quotation marks and backslashes"


def _fault_of_day(answer: str) -> str:
    try:
        day(answer)
    except ArgumentTypeError as error:
        return str(error)
    return ""
