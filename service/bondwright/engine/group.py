"""The rules of one stage about one kind of subject: the cells that tell its situations apart, and the engine that runs them."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeAlias

from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import Compiled, Fired, compiled
from bondwright.errors import EngineFault
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.rule import Rule


class EngineChannel(Protocol):
    """Fires the compiled rules of one group."""

    def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
        """The acting rules of each row of cells, in the order given."""
        ...

    def close(self) -> None:
        """Frees whatever the channel holds."""
        ...


BuildChannel: TypeAlias = Callable[[Compiled], EngineChannel]

Situation: TypeAlias = tuple[bytes, bytes]
"""The cells of one row, which tell the situations of a group apart: with earlier outcomes as far as they are certain and evidence set
aside where it may be, and with earlier outcomes from their lowest to their worst case and no evidence set aside."""


class Group:
    """The rules of one group with all that runs them; its engine is built when it is first asked, by one thread at a time.

    Raises: EngineFault, if a rule is beyond the engine's limits.
    """

    def __init__(self, rules: Sequence[Rule], evidence: frozenset[str], build_channel: BuildChannel) -> None:
        self.rules, self.evidence = rules, evidence
        self._plan, self._build_channel = compiled(rules, evidence), build_channel
        self._certain, self._known = cells_reader(self._plan.columns, evidence), cells_reader(self._plan.columns)
        self._sets_aside = any(column.aside for column in self._plan.columns)
        self._channel: EngineChannel | None = None

    def situation(self, known: Facts, certain: Facts) -> Situation:
        """The cells of one row, `known` and `certain` as for `meaning.acts`; for any number of threads. Raises: EngineFault."""
        surely = self._certain(certain)
        return surely, surely if known is certain and not self._sets_aside else self._known(known)

    def build(self) -> EngineChannel:
        """The engine. Raises: EngineFault, if it refuses the rules."""
        if self._channel is None:
            self._channel = self._build_channel(self._plan)
        return self._channel

    def fired(self, situations: Sequence[Situation]) -> list[tuple[frozenset[str], frozenset[str], frozenset[str]]]:
        """Ids of the rules that act, by the engine alone: at worst, as far as certain, and at least; in the order of the situations.

        Equal cells are put to the engine once. Raises: EngineFault.
        """
        rows = list(dict.fromkeys([cells for situation in situations for cells in situation]))
        fired = self.build()(rows)
        if len(fired) != len(rows):
            raise EngineFault(f"the engine answered {len(fired)} rows of {len(rows)}")
        of = dict(zip(rows, fired, strict=True))
        return [(*of[certain], of[known].at_least) for certain, known in situations]

    def close(self) -> None:
        """Frees the native memory."""
        if self._channel is not None:
            self._channel.close()
