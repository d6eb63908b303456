"""What is counted of the service while it runs."""

from collections import Counter
from collections.abc import Mapping
from threading import Lock

from msgspec import Struct

from bondwright.audit.writer import Writing


class Figures(Struct, frozen=True):
    """Counts since the service was started.

    `recorded`: evaluations, by pack_id. `verdicts`: theirs of parts and rooms, by (pack_id, outcome, act_on). `situations`: what the packs'
    rules were asked about, by pack_id: answered from memory, and by both channels. `writing`: none, before the record was opened.
    `waiting`: requests that wait for their turn, in this process (`here`) and for the one that evaluates what costs much (`apart`);
    `started`: how often that was started.
    """

    recorded: Mapping[str, int]
    verdicts: Mapping[tuple[str, str, str], int]
    situations: Mapping[str, tuple[int, int]]
    writing: Writing | None
    waiting: Mapping[str, int]
    started: int


class Tally:
    """Counts what was recorded. May be shared between threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._recorded: Counter[str] = Counter()
        self._verdicts: Counter[tuple[str, str, str]] = Counter()

    def add(self, pack_id: str, verdicts: Mapping[tuple[str, str], int]) -> None:
        """Counts one that was recorded. `verdicts`: how often it has each, by (outcome, act_on)."""
        with self._lock:
            self._recorded[pack_id] += 1
            for (outcome, act_on), count in verdicts.items():
                self._verdicts[pack_id, outcome, act_on] += count

    def figures(
        self, situations: Mapping[str, tuple[int, int]], writing: Writing | None, waiting: Mapping[str, int], started: int
    ) -> Figures:
        """The counts so far, beside those of others."""
        with self._lock:
            return Figures(dict(self._recorded), dict(self._verdicts), situations, writing, waiting, started)
