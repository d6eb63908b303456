"""Random rows of facts for each stage and kind of subject of a pack, close to every limit that its rules and tables state."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

from hypothesis import strategies as st
from tests.properties.drawn import Member, drawn

from bondwright.conclude.elsewhere import facts_that_count
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.declared.places import KIND, ROOM, Named
from bondwright.rulebook.facts import NO, UNKNOWN, YES, Between, FactDefinition, Facts, FactValue
from bondwright.rulebook.pack import Outcome, RulePack

_NUDGE = 1e-9


def groups(pack: RulePack) -> tuple[tuple[str, str], ...]:
    """Each stage and kind of subject that has rules."""
    return tuple(dict.fromkeys((rule.stage, rule.of) for rule in pack.rules))


def limits(pack: RulePack, name: str) -> Sequence[float]:
    """Every number that a rule or table compares the fact or size called `name` with."""
    tested = (test.operand for rule in pack.rules for test in tests_in(rule.when) if test.fact == name)
    numbers = {operand for operand in tested if isinstance(operand, float)}
    rows = {row.up_to for table in pack.tables.values() if table.reads == name for row in table.rows if row.up_to is not None}
    return sorted(numbers | rows)


def _numbers(pack: RulePack, name: str, lowest: float, highest: float) -> st.SearchStrategy[FactValue]:
    """Half of what is drawn is exact, a quarter a range, a quarter not known."""
    shared = (lowest, highest, 1.0, 10.0, 16.0, 6666.7, 22000.0)
    near = {value for limit in (*limits(pack, name), *shared) for value in (limit, limit * (1 + _NUDGE), limit * (1 - _NUDGE))}
    values = sorted(value for value in near if lowest <= value <= highest)
    one = st.sampled_from(values)
    exact = one.map(lambda value: Between(value, value))
    ranges = st.tuples(one, one).map(lambda ends: Between(min(ends), max(ends)))
    return st.one_of(exact, exact, ranges, st.just(Between(lowest, highest)))


def fact_values(pack: RulePack, fact: FactDefinition) -> st.SearchStrategy[FactValue]:
    """Values of one fact, unknown included."""
    values = _fact_values(pack, fact)
    return values if isinstance(values, st.SearchStrategy) else st.sampled_from(values)


def _fact_values(pack: RulePack, fact: FactDefinition) -> Member:
    match fact.kind:
        case "number":
            return _numbers(pack, fact.name, fact.lowest, fact.highest)
        case "yes_no":
            return (YES, NO, UNKNOWN)
        case "choice":
            return (*fact.choices, UNKNOWN)


def _outcomes(pack: RulePack, outcome: Outcome) -> Member:
    if not outcome.levels:
        return _numbers(pack, outcome.name, 0.1, 1000.0)
    steps = range(len(outcome.levels))
    return [Between(float(min(ends)), float(max(ends))) for ends in product(steps, steps)]


def facts_alone(pack: RulePack, of: str) -> st.SearchStrategy[Facts]:
    """Rows with every declared fact of a kind of subject, and no outcome; of a location as `of_each_kind`."""
    return of_each_kind(pack, of, every_fact(pack, of))


def rows(pack: RulePack, stage: str, of: str) -> st.SearchStrategy[Facts]:
    """Rows as one stage sees them: every declared fact and every outcome of earlier stages; of a location as `of_each_kind`."""
    earlier = {outcome.name: _outcomes(pack, outcome) for outcome in _earlier(pack, stage, of)}
    return of_each_kind(pack, of, every_fact(pack, of) | earlier)


def every_fact(pack: RulePack, of: str) -> dict[str, Member]:
    """What each declared fact of a kind of subject can be, unknown included."""
    return {fact.name: _fact_values(pack, fact) for fact in pack.facts_of(of)}


def of_each_kind(pack: RulePack, of: str, members: Mapping[str, Member]) -> st.SearchStrategy[Facts]:
    """Rows of these members; of a location mostly of a kind that is judged, where what does not count for that kind is not known.

    Nearly all that is drawn of a location of no kind in particular is about other places, and decides nothing.
    """
    ways = [drawn(members)]
    if of == ROOM and (kinds := pack.places.fact(Named(KIND))) in members:
        for kind in pack.places.kinds:
            counting, unknown = facts_that_count(kind, pack), pack.unknown_of(ROOM)
            of_kind = {name: member if name in counting or name not in unknown else (unknown[name],) for name, member in members.items()}
            ways.append(drawn(of_kind | {kinds: (pack.kind("location", kind).word("called", kind),)}))
    return st.one_of(ways)


def _earlier(pack: RulePack, stage: str, of: str) -> Iterator[Outcome]:
    done = pack.stages[: pack.stages.index(stage)]
    yield from (outcome for outcome in pack.outcomes.values() if outcome.of == of and outcome.stage in done)
