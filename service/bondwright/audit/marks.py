"""What an evaluation can be found by: read from the bytes that are kept, or told from the answer when they are written."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any, get_args, get_type_hints

from bondwright.audit.forms import NOT_JUDGED, content_of, form_of, judged_in
from bondwright.audit.rows.packing import packed
from bondwright.compose.answer import Evaluation, SizeVerdict, Verdict
from bondwright.members import is_shape


@dataclass(frozen=True, slots=True)
class Marks:
    """What one evaluation is found by, each entry once, in order.

    `day`: the day of the work. `rules`: (rule id, pack id) of every reason of a verdict or size; `clauses`: theirs.
    `levels`: (outcome, worst case) of every verdict, and (outcome, `not_judged`) of one for which there is no rule.
    """

    reference: str = ""
    day: str = ""
    rules: tuple[tuple[str, str], ...] = ()
    clauses: tuple[str, ...] = ()
    levels: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """The bytes of an answer, and what was taken from it when they were written: their SHA-256 in hex, and what it is found by.

    `packed`: the bytes as they are kept, where that is not as they are.
    """

    content: bytes = field(repr=False)
    digest: str
    marks: Marks
    packed: bytes | None = field(default=None, repr=False)


def marks_of(evaluation: bytes) -> Marks:
    """The marks of an evaluation as it is stored, whatever its form; bytes that are no evaluation have none.

    Raises: RecordBroken, if its form is not known.

    >>> marks_of(b'{"parts":[{"outcome":"a","act_on":"b","because":[{"rule":"r","pack_id":"p","clause":"1.1"}]}]}')
    Marks(reference='', day='', rules=(('r', 'p'),), clauses=('1.1',), levels=(('a', 'b'),))
    """
    answer = content_of(evaluation)
    judged = list(judged_in(answer, form_of(evaluation)))
    reasons = [reason for one in judged for reason in one.because]
    pack = answer.get("pack")
    return Marks(
        reference=str(answer.get("reference", "")),
        day=str(pack.get("chosen_on", "")) if isinstance(pack, dict) else "",
        rules=tuple(sorted({(reason["rule"], reason["pack_id"]) for reason in reasons})),
        clauses=tuple(sorted({reason["clause"] for reason in reasons})),
        levels=tuple(sorted({(one.outcome, word) for one in judged for word in one.found_by})),
    )


def told(evaluation: Evaluation, content: bytes) -> Told:
    """The same as its bytes, `content`, would tell."""
    return Told(content, hashlib.sha256(content).hexdigest(), marks_told(evaluation), packed(content))


def marks_told(evaluation: Evaluation) -> Marks:
    """What an evaluation is found by; `marks_of` finds the same in its bytes."""
    reasons: set[tuple[str, str, str]] = set()
    levels: set[tuple[str, str]] = set()
    met: set[int] = set()
    for one in _judged(evaluation):
        if id(one.because) not in met:  # thousands have the same
            met.add(id(one.because))
            reasons.update([(reason.rule, reason.pack_id, reason.clause) for reason in one.because])
        if isinstance(one, Verdict):
            levels.add((one.outcome, one.worst_case))
            if one.act_on == NOT_JUDGED:
                levels.add((one.outcome, NOT_JUDGED))
    return Marks(
        reference=evaluation.reference,
        day=evaluation.pack.chosen_on,
        rules=tuple(sorted({(rule, pack_id) for rule, pack_id, _ in reasons})),
        clauses=tuple(sorted({clause for _, _, clause in reasons})),
        levels=tuple(sorted(levels)),
    )


def _judged(value: Any) -> Iterator[Verdict | SizeVerdict]:
    for name in _ways(value.__class__):
        found = getattr(value, name)
        for one in found if isinstance(found, tuple) else (found,):
            if isinstance(one, Verdict | SizeVerdict):
                yield one
            elif one is not None:
                yield from _judged(one)


@cache
def _ways(kind: type) -> tuple[str, ...]:
    """The members of a shape of the answer that are judged, or lead to what is, by their declared types."""
    return tuple(name for name, declared in get_type_hints(kind).items() if any(_leads(one) for one in _kinds(declared)))


def _leads(kind: type) -> bool:
    return kind in (Verdict, SizeVerdict) or bool(_ways(kind))


def _kinds(declared: Any) -> Iterator[type]:
    """The shapes that a declared type names."""
    if is_shape(declared):
        yield declared
    for part in get_args(declared):
        yield from _kinds(part)
