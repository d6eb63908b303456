"""What an evaluation can be found by, read from the bytes that are kept."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import orjson


@dataclass(frozen=True, slots=True)
class Marks:
    """What one evaluation is found by, each entry once, in order.

    `day`: the day of the work. `rules`: (rule id, pack id) of every reason of a verdict or size; `clauses`: theirs.
    `levels`: (outcome, act_on) of every verdict.
    """

    reference: str = ""
    day: str = ""
    rules: tuple[tuple[str, str], ...] = ()
    clauses: tuple[str, ...] = ()
    levels: tuple[tuple[str, str], ...] = ()


def marks_of(evaluation: bytes) -> Marks:
    """The marks of an evaluation as it is stored; bytes that are no evaluation have none.

    Wherever it stands in the answer, what has `because` is a verdict or size: so an answer of an older shape is read too.

    >>> marks_of(b'{"parts":[{"outcome":"a","act_on":"b","because":[{"rule":"r","pack_id":"p","clause":"1.1"}]}]}')
    Marks(reference='', day='', rules=(('r', 'p'),), clauses=('1.1',), levels=(('a', 'b'),))
    """
    try:
        answer = orjson.loads(evaluation)
    except ValueError:
        return Marks()
    if not isinstance(answer, dict):
        return Marks()
    judged = list(_judged(answer))
    reasons = [reason for one in judged for reason in one["because"]]
    pack = answer.get("pack")
    return Marks(
        reference=str(answer.get("reference", "")),
        day=str(pack.get("chosen_on", "")) if isinstance(pack, dict) else "",
        rules=tuple(sorted({(reason["rule"], reason["pack_id"]) for reason in reasons})),
        clauses=tuple(sorted({reason["clause"] for reason in reasons})),
        levels=tuple(sorted({(one["outcome"], one["act_on"]) for one in judged if "act_on" in one})),
    )


def _judged(value: dict[str, Any] | list[Any]) -> Iterator[dict[str, Any]]:
    """Every verdict and size in a part of an answer."""
    if isinstance(value, dict):
        if "because" in value:
            yield value
            return
        value = list(value.values())
    for member in value:
        if isinstance(member, dict | list):
            yield from _judged(member)
