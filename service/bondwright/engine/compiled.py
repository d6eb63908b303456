"""Compiling: the conditions of a set of rules as conjunctions over columns, cut into shards that the engine can bear."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, product
from typing import NamedTuple, TypeAlias

from msgspec import Struct

from bondwright.engine.columns import CERTAIN, POSSIBLE, Column
from bondwright.errors import EngineFault
from bondwright.members import replace
from bondwright.rulebook.condition import All, Any, Condition, Not, Test, tests_in
from bondwright.rulebook.rule import Polarity, Rule

# Measured limits of durable-rules 2.0.28: a 65th pending rule stops a batch, 253 attributes in a row end the process.
MOST_DEMANDS_OF_A_SHARD = 63
MOST_COLUMNS_OF_A_SHARD = 200
MOST_ARMS_OF_A_RULE = 63

_ONLY_WHEN_CERTAIN = frozenset({Polarity.RELAXES, Polarity.PROVIDES, Polarity.REMARKS})

Arm: TypeAlias = frozenset[Column]
"""Columns that must hold together; a condition holds when one of its arms does."""


class Demand(Struct, frozen=True):
    """Met by a row whose cells at `positions` are all at least `least` (1 possible, 2 certain).

    Where it is met, the rules of `at_worst` act in the most cautious world that is not excluded, and those of `at_least` in the least
    cautious still possible.
    """

    least: int
    positions: tuple[int, ...]
    at_worst: tuple[str, ...]
    at_least: tuple[str, ...]


class Fired(NamedTuple):
    """Ids of the rules that act on a row of cells, see Demand."""

    at_worst: frozenset[str]
    at_least: frozenset[str]


class Shard(Struct, frozen=True):
    """What one engine ruleset holds: `columns` are positions in the group's row, the demands' positions are among those."""

    columns: tuple[int, ...]
    demands: tuple[Demand, ...]


class Compiled(Struct, frozen=True):
    """The rules of one stage about one kind of subject; `always` act whatever the row."""

    columns: tuple[Column, ...]
    always: frozenset[str]
    shards: tuple[Shard, ...]


def compiled(rules: Sequence[Rule], evidence: frozenset[str] = frozenset()) -> Compiled:
    """The rules as columns and demands, equal demands merged, in the order of the rules.

    `evidence`: facts that nobody must supply. Tests of them are columns of their own where a relaxing rule is asked what it does in the
    least cautious world: whoever reads a row may set these aside.
    Raises: EngineFault, if one rule has more arms, or one arm more columns, than the engine bears.
    """
    always: set[str] = set()
    acting_on: dict[tuple[int, Arm], tuple[list[str], list[str]]] = {}
    for rule in rules:
        relaxes = rule.polarity is Polarity.RELAXES
        at_worst, at_least = CERTAIN if rule.polarity in _ONLY_WHEN_CERTAIN else POSSIBLE, POSSIBLE if relaxes else CERTAIN
        for arm in _borne(rule):
            if not arm:
                always.add(rule.rule_id)
                continue
            acting_on.setdefault((at_worst, arm), ([], []))[0].append(rule.rule_id)
            acting_on.setdefault((at_least, _with_aside(arm, evidence) if relaxes else arm), ([], []))[1].append(rule.rule_id)
    columns = _columns_in_use(rules, {column for _, arm in acting_on for column in arm})
    position = {column: number for number, column in enumerate(columns)}
    demands = [
        Demand(least, tuple(sorted([position[column] for column in arm])), tuple(worst), tuple(lowest))
        for (least, arm), (worst, lowest) in acting_on.items()
    ]
    return Compiled(columns, frozenset(always), tuple(_shards(demands)))


def _borne(rule: Rule) -> tuple[Arm, ...]:
    """The arms of a rule; a single empty one, if it always acts. Raises: EngineFault, if the engine does not bear them."""
    arms = _arms(rule.rule_id, rule.when)
    if frozenset() in arms:
        return (frozenset(),)
    widest = max(map(len, arms), default=0)
    if widest > MOST_COLUMNS_OF_A_SHARD:
        raise EngineFault(f"rule `{rule.rule_id}` joins {widest} tests, and the engine bears {MOST_COLUMNS_OF_A_SHARD}; split the rule")
    return arms


def _with_aside(arm: Arm, evidence: frozenset[str]) -> Arm:
    return frozenset(replace(column, aside=True) if column.test.fact in evidence else column for column in arm)


def _columns_in_use(rules: Sequence[Rule], used: set[Column]) -> tuple[Column, ...]:
    """The used columns, those of one fact side by side, else as the rules are written: the same in every process."""
    written: dict[Test, int] = {}
    for rule in rules:
        for test in tests_in(rule.when):
            written.setdefault(test, len(written))
    return tuple(sorted(used, key=lambda column: (column.reads, written[column.test], column.denied)))


def _arms(rule_id: str, condition: Condition, denied: bool = False) -> tuple[Arm, ...]:
    """Disjunctive normal form, denials pushed down to the tests; it keeps its meaning with three truth values."""
    match condition:
        case Test():
            return (frozenset({Column(condition, denied)}),)
        case Not(member):
            return _arms(rule_id, member, not denied)
        case All(members) | Any(members):
            inner = [_arms(rule_id, member, denied) for member in members]
            if isinstance(condition, All) == denied:
                return _distinct(rule_id, chain.from_iterable(inner))
            joined: tuple[Arm, ...] = (frozenset(),)
            for arms in inner:
                joined = _distinct(rule_id, (one | other for one, other in product(joined, arms)))
            return joined


def _distinct(rule_id: str, arms: Iterable[Arm]) -> tuple[Arm, ...]:
    distinct = tuple(dict.fromkeys(arms))
    if len(distinct) > MOST_ARMS_OF_A_RULE:
        raise EngineFault(
            f"rule `{rule_id}` spreads to {len(distinct)} or more alternatives, and the engine bears {MOST_ARMS_OF_A_RULE}; "
            "put fewer `any` inside one `all`, or split the rule"
        )
    return distinct


def _shards(demands: Iterable[Demand]) -> Iterator[Shard]:
    taken: list[Demand] = []
    columns: frozenset[int] = frozenset()
    for demand in demands:
        wider = columns.union(demand.positions)
        if len(taken) == MOST_DEMANDS_OF_A_SHARD or len(wider) > MOST_COLUMNS_OF_A_SHARD:
            yield _shard(columns, taken)
            taken, wider = [], frozenset(demand.positions)
        taken.append(demand)
        columns = wider
    if taken:
        yield _shard(columns, taken)


def _shard(columns: frozenset[int], demands: Sequence[Demand]) -> Shard:
    ordered = tuple(sorted(columns))
    place = {column: number for number, column in enumerate(ordered)}
    return Shard(ordered, tuple(replace(demand, positions=tuple(place[column] for column in demand.positions)) for demand in demands))
