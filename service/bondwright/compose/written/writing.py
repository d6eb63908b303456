"""The answer as bytes: what is answered, stored, digested and replayed."""

from collections.abc import Callable
from typing import Any

import orjson

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.members import members_of
from bondwright.compose.written.tables import Tables


def evaluation_bytes(evaluation: Evaluation) -> bytes:
    """The evaluation as JSON bytes: its members, and behind them the tables that they point into."""
    writer = _Writer()
    return orjson.dumps(writer.shape(evaluation) | writer.tables.filled())


class _Writer:
    def __init__(self) -> None:
        self.tables = tables = Tables()
        self._put: dict[str | None, Callable[[Any], Any]] = {
            None: self.shape,
            "verdicts": tables.verdict,
            "sizes": tables.size,
            "reasons": tables.reason,
            "questions": tables.question,
            "sentences": tables.sentence,
        }

    def shape(self, one: Any) -> dict[str, Any]:
        """The members of a shape, in its order, without those in which there is nothing."""
        members: dict[str, Any] = {}
        for member in members_of(one.__class__):
            held = getattr(one, member.name)
            if member.may_lack and (held is None or held == () or held == "" or held == {}):
                continue
            if member.holds is None:
                members[member.name] = held
            else:
                put = self._put[member.table]
                members[member.name] = [put(each) for each in held] if member.many else put(held)
        return members
