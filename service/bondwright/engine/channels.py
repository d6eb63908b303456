"""Two channels: the engine and the plain reader must agree on every new situation before a verdict is given."""

from collections.abc import Iterator, Mapping, Sequence
from threading import Lock
from typing import TypeAlias

from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import BuildChannel, Group
from bondwright.engine.watchdog import watchdog
from bondwright.errors import EngineDisagreement, EngineFault
from bondwright.rulebook import meaning
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import RulePack

_CLOSED = "the channels of this pack are closed"
_Key: TypeAlias = tuple[str, str, str, str, bytes, bytes]
_NOTHING = Acts(frozenset(), frozenset(), frozenset())


class TwoChannels:
    """Runs the rules of one pack through both channels; safe to share between threads. Close it when the pack is retired.

    A situation already seen, that is one with the same cells in the same stage, is answered from `memory`, under a key that begins with
    the digest of the pack and "acts"; all that is kept there was agreed on. The rules are compiled at once, and an engine is built when
    a stage first asks for it. `hang_limit_s`: a native call that takes longer ends the process, see `watchdog`; None: never.
    Raises: EngineFault, if a rule is beyond the engine's limits.
    """

    def __init__(
        self, pack: RulePack, memory: Memory, *, hang_limit_s: float | None = None, build_channel: BuildChannel = DurableChannel
    ) -> None:
        self._digest, self._memory, self._hang_limit_s = pack.digest, memory, hang_limit_s
        self._lock = Lock()
        self._met = [0, 0]
        self._closed = False
        self._groups = {
            (stage, of): Group(pack.rules_of(stage, of), pack.evidence_of(of), build_channel)
            for stage, of in dict.fromkeys((rule.stage, rule.of) for rule in pack.rules)
        }

    @property
    def memory(self) -> Memory:
        """What it remembers with; conclusions drawn from what it answers may stand there too."""
        return self._memory

    @property
    def met(self) -> tuple[int, int]:
        """How many situations were asked about so far: answered from memory, and by both channels."""
        remembered, new = self._met
        return remembered, new

    def acts(self, stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
        """Which rules of `stage` act on each subject of kind `of`, in the order of `rows`: (known, certain) of each, see `meaning.acts`.

        Raises: EngineDisagreement, if the channels differ on any row; EngineFault, if the engine broke its contract.
        """
        if self._closed:
            raise EngineFault(_CLOSED)
        group = self._groups.get((stage, of))
        if group is None:
            return [_NOTHING] * len(rows)
        asked = [(self._digest, "acts", stage, of, *group.situation(known, certain)) for known, certain in rows]
        remembered = [self._memory.get(key) for key in asked]
        new = {key: row for key, found, row in zip(asked, remembered, rows, strict=True) if not isinstance(found, Acts)}
        with self._lock:
            self._met[0] += len(rows) - len(new)
            self._met[1] += len(new)
        agreed = self._agreed(group, stage, new) if new else {}
        for key, answer in agreed.items():
            self._memory.put(key, answer)
        return [found if isinstance(found, Acts) else agreed[key] for key, found in zip(asked, remembered, strict=True)]

    def build(self) -> None:
        """Nothing, once the engine has taken every rule of the pack. Raises: EngineFault, if it refuses some."""
        with self._lock, watchdog(self._hang_limit_s):
            for group in self._groups.values():
                group.build()

    def close(self) -> None:
        """Frees the engine's memory; nothing can be asked afterwards."""
        with self._lock:
            self._closed = True
            for group in self._groups.values():
                group.close()

    def _agreed(self, group: Group, stage: str, new: Mapping[_Key, tuple[Facts, Facts]]) -> dict[_Key, Acts]:
        with self._lock, watchdog(self._hang_limit_s):
            if self._closed:
                raise EngineFault(_CLOSED)
            fired = [Acts(*sets) for sets in group.fired([(key[-2], key[-1]) for key in new])]
        read = [meaning.acts(group.rules, known, certain, group.evidence) for known, certain in new.values()]
        if fired != read:
            raise EngineDisagreement(self._digest, stage, tuple(_differences(fired, read)))
        return dict(zip(new, fired, strict=True))


def _differences(fired: Sequence[Acts], read: Sequence[Acts]) -> Iterator[str]:
    """One line per row, set and rule on which the channels differ; rows count from 0 among the situations not seen before."""
    for row, (ours, theirs) in enumerate(zip(fired, read, strict=True)):
        for name in ("worst_case", "certain", "lowest"):
            acting, other = getattr(ours, name), getattr(theirs, name)
            for rule_id in sorted(acting ^ other):
                yield f"row {row}, {name}: rule `{rule_id}` acts only by the {'engine' if rule_id in acting else 'plain reader'}"
