"""Two channels: the engine and the plain reader must agree on every new situation before a verdict is given."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Protocol, TypeAlias

from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import Compiled, compiled
from bondwright.engine.durable import DurableChannel
from bondwright.engine.watchdog import watchdog
from bondwright.errors import EngineDisagreement, EngineFault
from bondwright.rulebook import meaning
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Rule


class EngineChannel(Protocol):
    """Fires the compiled rules of one group."""

    def __call__(self, rows: Sequence[bytes]) -> list[frozenset[str]]:
        """Ids of the acting rules of each row of cells, in the order given."""
        ...

    def close(self) -> None:
        """Frees whatever the channel holds."""
        ...


BuildChannel: TypeAlias = Callable[[Compiled], EngineChannel]

_Situation: TypeAlias = tuple[str, str, bytes]


@dataclass(frozen=True, slots=True)
class _Group:
    """The rules of one stage about one kind of subject, with all that runs them."""

    rules: tuple[Rule, ...]
    cells: Callable[[Facts], bytes]
    channel: EngineChannel


class TwoChannels:
    """Runs the rules of one pack through both channels; safe to share between threads. Close it when the pack is retired.

    A situation already seen, that is one with the same cells in the same stage, is answered from memory: at most `remembered` situations
    are kept, the oldest leaving first (0: none; a full memory of the default size measured 9 MB with 15 rules in the stage).
    `hang_limit_s`: a native call that takes longer ends the process, see `watchdog`; None: never.
    Raises: EngineFault, if a rule is beyond the engine's limits.
    """

    def __init__(
        self, pack: RulePack, *, remembered: int = 20_000, hang_limit_s: float | None = None, build_channel: BuildChannel = DurableChannel
    ) -> None:
        self._digest = pack.digest
        self._remembered, self._hang_limit_s = remembered, hang_limit_s
        self._lock = Lock()
        self._memory: dict[_Situation, frozenset[str]] = {}
        self._met = [0, 0]
        self._closed = False
        self._groups = _groups(pack, build_channel)

    @property
    def met(self) -> tuple[int, int]:
        """How many situations were asked about so far: answered from memory, and by both channels."""
        remembered, new = self._met
        return remembered, new

    def acting(self, stage: str, of: str, rows: Sequence[Facts]) -> list[frozenset[str]]:
        """Ids of the rules of `stage` that act on each subject of kind `of`, in the order of `rows`.

        Raises: EngineDisagreement, if the channels differ on any row; EngineFault, if the engine broke its contract.
        """
        if self._closed:
            raise EngineFault("the channels of this pack are closed")
        group = self._groups.get((stage, of))
        if group is None:
            return [frozenset()] * len(rows)
        situations = [(stage, of, group.cells(facts)) for facts in rows]
        known = {situation: answer for situation in situations if (answer := self._memory.get(situation)) is not None}
        new = {situation: facts for situation, facts in zip(situations, rows, strict=True) if situation not in known}
        with self._lock:
            self._met[0] += len(rows) - len(new)
            self._met[1] += len(new)
        if new:
            agreed = self._agreed(group, stage, [cells for _, _, cells in new], list(new.values()))
            known.update(zip(new, agreed, strict=True))
            self._remember(dict(zip(new, agreed, strict=True)))
        return [known[situation] for situation in situations]

    def close(self) -> None:
        """Frees the engine's memory; nothing can be asked afterwards."""
        with self._lock:
            self._closed = True
            for group in self._groups.values():
                group.channel.close()

    def _agreed(self, group: _Group, stage: str, cells: Sequence[bytes], rows: Sequence[Facts]) -> list[frozenset[str]]:
        with self._lock, watchdog(self._hang_limit_s):
            fired = group.channel(cells)
        read = [meaning.acting(group.rules, facts) for facts in rows]
        if fired != read:
            raise EngineDisagreement(self._digest, stage, _differences(fired, read))
        return fired

    def _remember(self, answers: Mapping[_Situation, frozenset[str]]) -> None:
        if self._remembered < 1:
            return
        with self._lock:
            for situation, answer in answers.items():
                if len(self._memory) >= self._remembered:
                    del self._memory[next(iter(self._memory))]
                self._memory[situation] = answer


def _groups(pack: RulePack, build_channel: BuildChannel) -> dict[tuple[str, str], _Group]:
    """Every group that has rules. All are compiled before any engine is built, so a refused pack leaves nothing to free."""
    rules = {(rule.stage, rule.of): pack.rules_of(rule.stage, rule.of) for rule in pack.rules}
    plans = {group: compiled(members) for group, members in rules.items()}
    return {group: _Group(rules[group], cells_reader(plan.columns), build_channel(plan)) for group, plan in plans.items()}


def _differences(fired: Sequence[frozenset[str]], read: Sequence[frozenset[str]]) -> tuple[str, ...]:
    """One line per rule and row on which the channels differ; rows count from 0 among the situations not seen before."""
    lines = [
        f"row {row}: rule `{rule_id}` acts only by the {'engine' if rule_id in ours else 'plain reader'}"
        for row, (ours, other) in enumerate(zip(fired, read, strict=False))
        for rule_id in sorted(ours ^ other)
    ]
    return tuple(lines) or (f"{len(fired)} rows answered by the engine, {len(read)} asked",)
