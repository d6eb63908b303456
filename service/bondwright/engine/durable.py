"""The driver of durable-rules: low-level calls only, integers only, inside the path that was measured to be right.

A ruleset holds flat conjunctions over one pattern. A batch is asserted in one call; its last fact is a sentinel that must
fire exactly once, which shows that no fact of the batch was lost. Then it is drained and retracted.
"""

import re
from collections.abc import Sequence

from bondwright.engine.columns import CERTAIN
from bondwright.engine.compiled import Compiled, Demand, Fired, Shard
from bondwright.errors import EngineFault

try:
    import durable_rules_engine as native
except ImportError as fault:
    raise EngineFault(
        "the rule engine cannot be imported; on Python 3.13 build it with "
        'CC="cc -DPyEval_CallObject=PyObject_CallObject" pip install --force-reinstall --no-cache-dir durable-rules==2.0.28'
    ) from fault

MOST_ROWS_OF_A_BATCH = 200

# One state for every ruleset: each costs 12 to 14 kB a rule, and the 1,025th is refused.
_STATE = "s"
_SENTINEL = "end"
_FIRED_FACT = re.compile(r'\{"m":\{"sid":"s","id":"(\d+)"')


class Ruleset:
    """One native ruleset; close it, or its memory stays taken. Any fault closes it for good."""

    def __init__(self, demands: Sequence[Demand]) -> None:
        rules = [_rule(str(number), _pattern(demand)) for number, demand in enumerate(demands)]
        try:
            self._handle: int | None = native.create_ruleset("bondwright", "{" + ",".join([*rules, _rule(_SENTINEL, '{"z":1}')]) + "}")
            # A state that never fired holds uninitialised pointers, and deleting it would end the process.
            self._evaluate(self._handle, [])
        except native.error as fault:
            raise EngineFault(f"the engine refused a ruleset: {fault}") from fault

    def firings(self, rows: Sequence[str]) -> set[tuple[int, int]]:
        """Which demand is met by which row: pairs of their numbers. A row is written `"a0":2,"a1":0`, one cell an attribute.

        Raises: EngineFault, if the engine broke its contract or the ruleset is closed.
        """
        if self._handle is None:
            raise EngineFault("the ruleset is closed")
        try:
            return self._evaluate(self._handle, rows)
        except native.error as fault:
            self.close()
            raise EngineFault(f"the engine failed on a batch: {fault}") from fault
        except EngineFault:
            self.close()
            raise

    def close(self) -> None:
        """Frees the native memory; only both calls in this order do. Closing twice is harmless."""
        if self._handle is not None:
            handle, self._handle = self._handle, None
            native.delete_state(handle, _STATE)
            native.delete_ruleset(handle)

    def _evaluate(self, handle: int, rows: Sequence[str]) -> set[tuple[int, int]]:
        facts = [f'{{"sid":"{_STATE}","id":"{number}",{row}}}' for number, row in enumerate([*rows, '"z":1'])]
        batch = "[" + ",".join(facts) + "]"
        status, state = native.assert_facts(handle, batch)
        if status not in (0, 1):  # 1 only says that some fact matched nothing
            raise EngineFault(f"the engine answered a batch with status {status}")
        fired: list[tuple[str, int]] = []
        started = native.start_action_for_state(handle, state)
        message = started[1] if started else None
        while message is not None:
            name = message[2 : message.index('"', 2)]
            fired += [(name, int(number)) for number in _FIRED_FACT.findall(message)]
            message = native.complete_and_start_action(handle, state)
        native.retract_facts(handle, batch)
        if [number for name, number in fired if name == _SENTINEL] != [len(rows)]:
            raise EngineFault("the sentinel did not fire exactly once, so facts of the batch may be lost")
        met = {(int(name), number) for name, number in fired if name != _SENTINEL}
        if len(met) != len(fired) - 1:
            raise EngineFault("a demand fired twice for one fact")
        return met


class DurableChannel:
    """Fires the compiled rules of one stage about one kind of subject."""

    def __init__(self, rules: Compiled) -> None:
        self._always = rules.always
        self._shards = tuple((shard, _row_template(shard), Ruleset(shard.demands)) for shard in rules.shards)

    def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
        """The acting rules of each row of cells, in the order given. Raises: EngineFault."""
        acting = [(set(self._always), set(self._always)) for _ in rows]
        for first in range(0, len(rows), MOST_ROWS_OF_A_BATCH):
            batch = rows[first : first + MOST_ROWS_OF_A_BATCH]
            for shard, template, ruleset in self._shards:
                written = [template % tuple([cells[column] for column in shard.columns]) for cells in batch]
                for demand, row in ruleset.firings(written):
                    at_worst, at_least = acting[first + row]
                    at_worst.update(shard.demands[demand].at_worst)
                    at_least.update(shard.demands[demand].at_least)
        return [Fired(frozenset(at_worst), frozenset(at_least)) for at_worst, at_least in acting]

    def close(self) -> None:
        """Frees the native memory of every shard."""
        for _, _, ruleset in self._shards:
            ruleset.close()


def _row_template(shard: Shard) -> str:
    return ",".join(f'"a{place}":%d' for place in range(len(shard.columns)))


def _pattern(demand: Demand) -> str:
    tests = [
        f'{{"a{place}":{CERTAIN}}}' if demand.least == CERTAIN else f'{{"$gte":{{"a{place}":{demand.least}}}}}'
        for place in demand.positions
    ]
    return tests[0] if len(tests) == 1 else '{"$and":[' + ",".join(tests) + "]}"


def _rule(name: str, pattern: str) -> str:
    # A capped rule gives all its matches in one message; the cap is far above the rows of a batch.
    return f'"{name}":{{"all":[{{"m":{pattern}}}],"cap":65535}}'
