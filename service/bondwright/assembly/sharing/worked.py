"""What an evaluation came to, whichever process worked it out, and how one process tells another."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, astuple
from typing import Any

from msgspec import Struct

from bondwright.assembly.answers import answer_of
from bondwright.assembly.judging import Evaluated
from bondwright.assembly.sharing.frames import Frame
from bondwright.audit.marks import Marks, Told
from bondwright.errors import (
    BondwrightError,
    Contradiction,
    EngineDisagreement,
    EngineFault,
    Fault,
    NotJson,
    NotTheSchema,
    Refused,
    TooMuch,
    UnreadableRules,
)

_REFUSALS: tuple[type[Refused], ...] = (NotJson, NotTheSchema, Contradiction, TooMuch)
_BY_NAME: Mapping[str, type[Refused]] = {kind.__name__: kind for kind in _REFUSALS}
TOO_LARGE = "this needs more memory than one evaluation may take; describe the building in several parts"
"""Why a description is refused for which there was no memory left."""


class Worked(Struct, frozen=True):
    """An answer, see `answers.Answer`, its pack named by its digest."""

    pack_digest: str
    told: Told
    verdicts: Counter[tuple[str, str]]


class Unforeseen(Exception):
    """The other process met a fault of ours; its type and place are in the log."""


def worked(evaluated: Evaluated) -> Worked:
    """What came of a description."""
    answer = answer_of(evaluated.pack, evaluated.evaluation, evaluated.body)
    return Worked(answer.pack.digest, answer.told, answer.verdicts)


def head_of(done: Worked) -> dict[str, Any]:
    """All of it but the bytes of the answer, plain and packed, as JSON can hold it."""
    verdicts = [[*names, count] for names, count in done.verdicts.items()]
    return {"pack": done.pack_digest, "digest": done.told.digest, "marks": asdict(done.told.marks), "verdicts": verdicts}


def worked_of(frame: Frame) -> Worked:
    """The same again, from the head and the bytes."""
    head, marks = frame.head, frame.head["marks"]
    rules, levels = (tuple((first, second) for first, second in marks[name]) for name in ("rules", "levels"))
    found = Marks(marks["reference"], marks["day"], rules, tuple(marks["clauses"]), levels)
    verdicts = Counter({(outcome, act_on): count for outcome, act_on, count in head["verdicts"]})
    return Worked(head["pack"], Told(frame.parts[0], head["digest"], found, frame.parts[1] or None), verdicts)


def head_of_error(error: Exception) -> dict[str, Any]:
    """An error as JSON can hold it; of one that nobody foresaw its type alone, for its words may be the caller's."""
    raised = {"raised": type(error).__name__}
    match error:
        case NotJson() | NotTheSchema() | Contradiction() | TooMuch():
            return raised | {"values": [list(astuple(fault)) for fault in error.faults]}
        case EngineDisagreement():
            return raised | {"values": [error.pack_digest, error.stage, list(error.differences)]}
        case UnreadableRules():
            return raised | {"values": [error.file, error.line, error.column, error.detail]}
        case EngineFault():
            return raised | {"values": [str(error)]}
        case MemoryError():
            return {"raised": TooMuch.__name__, "values": [["", TOO_LARGE]]}
    return raised | {"values": []}


def error_of(head: Mapping[str, Any]) -> Exception:
    """The same again."""
    name, values = head["raised"], head["values"]
    error: BondwrightError
    if name in _BY_NAME:
        return _BY_NAME[name](tuple(Fault(pointer, detail) for pointer, detail in values))
    match name:
        case "EngineDisagreement":
            error = EngineDisagreement(values[0], values[1], tuple(values[2]))
        case "UnreadableRules":
            error = UnreadableRules(*values)
        case "EngineFault":
            error = EngineFault(*values)
        case _:
            return Unforeseen(name)
    return error
