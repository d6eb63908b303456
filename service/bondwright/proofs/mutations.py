"""Small mistakes that somebody could make in a pack, each made once: the packs that examples must tell from the right one."""

from collections.abc import Callable, Iterator
from typing import TypeAlias

from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.declared.places import ROOM
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.rulebook.sizing import Form, FromValue, HalfOf, LargestOf, LimitsTable, Quotient, RoundUpTo, Row, SmallestOf

STEP = 0.025
"""By how much a limit or an entry is moved, as a share of it: as far past a limit as an example may lie to show it."""

Moves: TypeAlias = Callable[[float], Iterator[float]]
"""What a number that a rule or table gives may be mistaken for."""
Part: TypeAlias = tuple[str, str]
"""A part of a pack in which a mistake can be made, as kind and name."""


class Mutant(Struct, frozen=True):
    """A pack with one mistake in it: what was done, where, in which `part` of the pack, and to which rules it matters.

    `part`: what was mistaken: `("rule", ID)`, `("table", ID)`, `("joined", ACT)`, `("advice", ACT)`, `("value", NAME)`,
    `("fact", NAME)`, `("reference", NAME)`, `("date", FIELD)`. `clause`: the right one, where nothing but a clause was mistaken.
    """

    pack: RulePack
    what: str
    place: Place
    touches: tuple[Rule, ...]
    part: Part
    clause: str = ""


def nudged(value: float) -> Iterator[float]:
    """A little less, and a little more."""
    yield value * (1 - STEP)
    yield value * (1 + STEP)


def mutants(pack: RulePack, moves: Moves = nudged) -> Iterator[Mutant]:
    """Each rule, condition and member of a condition dropped; each limit, number, entry and raised level moved.

    A remark decides nothing, so only its being dropped can be seen. `moves`: for what a rule or table gives; limits are nudged.
    """
    for rule in pack.rules:
        yield _changed(pack, rule, None, "is dropped")
        if rule.polarity is Polarity.REMARKS:
            continue
        for form, what in _forms(rule.form, moves):
            yield _changed(pack, rule, replace(rule, form=form), what)
        for when, what in _whens(rule, pack):
            yield _changed(pack, rule, replace(rule, when=when), what)
        for level in _neighbours(rule, pack):
            yield _changed(pack, rule, replace(rule, level=level), f"raises to `{level}`")
    for table in pack.tables.values():
        touches = tuple(rule for rule in pack.rules if table in pack.tables_of(rule))
        for changed, what, place in _tables(table, moves):
            other = replace(pack, tables={**pack.tables, table.table_id: changed})
            yield Mutant(other, f"table `{table.table_id}` {what}", place, touches, ("table", table.table_id))


def _whens(rule: Rule, pack: RulePack) -> Iterator[tuple[Condition, str]]:
    """What its condition may be mistaken for. That a rule reaches those places alone which have what it decides, nobody wrote."""
    reach = implied_reach(rule, pack)
    own = condition_as_written(rule, pack)
    if own != All(()):
        yield All((reach,) if reach else ()), "holds always"
    for condition, what in _conditions(own, pack):
        yield All((reach, condition)) if reach else condition, what


def implied_reach(rule: Rule, pack: RulePack) -> Test | None:
    """The test of the kind of place that a rule was given when it was read; none where all places have what it decides."""
    having = sorted(name for name, place in pack.places.kinds.items() if rule.outcome in place.outcomes)
    match rule.when:
        case All((Test(fact, "is", operand) as first, _)) if rule.of == ROOM and fact == pack.kinds.facts.get("location"):
            return first if operand == tuple(having) and len(having) < len(pack.places.kinds) else None
    return None


def condition_as_written(rule: Rule, pack: RulePack) -> Condition:
    """The condition of a rule without the kinds of place that it was given when it was read."""
    match rule.when:
        case All((_, written)) if implied_reach(rule, pack):
            return written
    return rule.when


def _changed(pack: RulePack, rule: Rule, to: Rule | None, what: str) -> Mutant:
    rules = tuple(to if other is rule else other for other in pack.rules)
    kept = tuple(other for other in rules if other is not None)
    return Mutant(replace(pack, rules=kept), f"rule `{rule.rule_id}` {what}", rule.origin, (rule,), ("rule", rule.rule_id))


def _conditions(condition: Condition, pack: RulePack) -> Iterator[tuple[Condition, str]]:
    match condition:
        case Test():
            yield from _limits(condition, pack)
        case Not(member):
            yield from ((Not(other), what) for other, what in _conditions(member, pack))
        case All(members) | Any(members):
            for index, member in enumerate(members):
                rest, after = members[:index], members[index + 1 :]
                if len(members) > 1:
                    yield type(condition)((*rest, *after)), f"loses {written(member)}"
                for other, what in _conditions(member, pack):
                    yield type(condition)((*rest, other, *after)), what


def _limits(test: Test, pack: RulePack) -> Iterator[tuple[Condition, str]]:
    if not isinstance(test.operand, float):
        return
    if test.fact in pack.outcomes and (levels := pack.outcomes[test.fact].levels):
        beside = [step for step in (test.operand - 1, test.operand + 1) if 1 <= step < len(levels)]
        yield from ((replace(test, operand=step), f"tests for `{levels[int(step)]}` in {written(test)}") for step in beside)
    else:
        for moved in nudged(test.operand):
            if moved != test.operand:
                yield replace(test, operand=moved), f"tests {written(test)} against {moved:g}"


def written(condition: Condition) -> str:
    """A condition in a few words."""
    match condition:
        case Test(fact, operator, operand):
            shown = ", ".join(operand) if isinstance(operand, tuple) else operand if isinstance(operand, str) else f"{operand:g}"
            return f"`{fact} {operator.replace('_', ' ')} {shown}`"
        case Not(member):
            return f"not {written(member)}"
        case All(members) | Any(members):
            return (" and " if isinstance(condition, All) else " or ").join(map(written, members)) or "nothing"


def _forms(form: Form | None, moves: Moves) -> Iterator[tuple[Form, str]]:
    match form:
        case FromValue(value):
            yield from ((FromValue(moved), f"uses {moved:g} for {value:g}") for moved in moves(value))
        case HalfOf(operand) | RoundUpTo(operand=operand):
            yield from ((replace(form, operand=other), what) for other, what in _forms(operand, moves))
        case Quotient(dividend, divisor):
            yield from ((replace(form, dividend=other), what) for other, what in _forms(dividend, moves))
            yield from ((replace(form, divisor=other), what) for other, what in _forms(divisor, moves))
        case LargestOf(operands) | SmallestOf(operands):
            for index, operand in enumerate(operands):
                for other, what in _forms(operand, moves):
                    yield replace(form, operands=(*operands[:index], other, *operands[index + 1 :])), what


def _neighbours(rule: Rule, pack: RulePack) -> Iterator[str]:
    if rule.polarity is Polarity.RAISES:
        levels = pack.outcomes[rule.outcome].levels
        index = levels.index(rule.level)
        yield from (levels[other] for other in (index - 1, index + 1) if 1 <= other < len(levels))


def _tables(table: LimitsTable, moves: Moves) -> Iterator[tuple[LimitsTable, str, Place]]:
    for index, row in enumerate(table.rows):
        for use in moves(row.use):
            yield _with(table, index, replace(row, use=use)), f"gives {use:g} for {row.use:g}", row.place
        if row.up_to and row.use != table.rows[index + 1].use:
            for up_to in nudged(row.up_to):
                yield _with(table, index, replace(row, up_to=up_to)), f"has limit {up_to:g} for {row.up_to:g}", row.place


def _with(table: LimitsTable, index: int, row: Row) -> LimitsTable:
    return replace(table, rows=(*table.rows[:index], row, *table.rows[index + 1 :]))
