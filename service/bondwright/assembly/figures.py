"""What is counted of the service while it runs."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

from bondwright.audit.writer import Writing
from bondwright.compose.answer import Evaluation


@dataclass(frozen=True, slots=True)
class Figures:
    """Counts since the service was started.

    `recorded`: evaluations, by pack_id. `verdicts`: theirs of parts and rooms, by (pack_id, outcome, act_on). `situations`: what the packs'
    rules were asked about, by pack_id: answered from memory, and by both channels. `writing`: none, before the record was opened.
    """

    recorded: Mapping[str, int]
    verdicts: Mapping[tuple[str, str, str], int]
    situations: Mapping[str, tuple[int, int]]
    writing: Writing | None


class Tally:
    """Counts what was recorded. May be shared between threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._recorded: Counter[str] = Counter()
        self._verdicts: Counter[tuple[str, str, str]] = Counter()

    def add(self, pack_id: str, evaluation: Evaluation) -> None:
        """Counts one that was recorded."""
        told = [verdict for part in evaluation.parts for verdict in part.verdicts]
        told += [verdict for room in evaluation.rooms for verdict in room.verdicts]
        with self._lock:
            self._recorded[pack_id] += 1
            self._verdicts.update((pack_id, verdict.outcome, verdict.act_on) for verdict in told)

    def figures(self, situations: Mapping[str, tuple[int, int]], writing: Writing | None) -> Figures:
        """The counts so far, beside those of others."""
        with self._lock:
            return Figures(dict(self._recorded), dict(self._verdicts), situations, writing)
