"""What a change of rules means: for each outcome one row of facts that becomes stricter and one that becomes more lenient.

A search, not a proof: rows are put together from the examples of the rules and the limits that they test, the same ones every time.
What it finds is true of both packs; what it does not find may still be there.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeAlias

from msgspec import Struct

from bondwright.cli.rules.differences import changed_rules
from bondwright.conclude.concluding import begun, plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.errors import BondwrightError, Contradiction
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import NO, UNKNOWN, YES, Between, FactValue
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Rule

ROWS = 1500
"""Rows of facts that are tried for each kind of subject."""

STRICTER, LENIENT = "stricter", "more lenient"

_Row: TypeAlias = dict[str, FactValue]


@dataclass(frozen=True, slots=True)
class Moved:
    """One outcome that differs between two packs on one row of facts; facts that are not `given` are unknown."""

    outcome: str
    of: str
    becomes: str
    given: Mapping[str, str]
    was: str
    now: str

    def line(self) -> str:
        """The difference in one line."""
        given = ", ".join(f"{name} {value}" for name, value in self.given.items()) or "nothing known"
        return f"{self.outcome} becomes {self.becomes}, {self.was} to {self.now}: {self.of} with {given}"


class Search(Struct, frozen=True):
    """What was found, and among how many rows."""

    moved: tuple[Moved, ...]
    rows: int


def searched(old: RulePack, new: RulePack, rows_each: int = ROWS) -> Search:
    """At most one row of facts each way for every outcome that both packs have, with as few facts given as still show it."""
    differing = changed_rules(old, new)
    kinds = sorted({rule.of for rule in differing})
    found: list[Moved] = []
    for of in kinds:
        rows = _rows(old, new, of, [rule for rule in differing if rule.of == of], rows_each)
        found += _moved(old, new, of, rows)
    return Search(tuple(found), len(kinds) * rows_each)


def _rows(old: RulePack, new: RulePack, of: str, differing: Sequence[Rule], count: int) -> list[_Row]:
    """Rows of one kind of subject: two examples laid over each other, then up to three facts set to a value that matters."""
    random = Random(of)  # seeded with a text: the same rows every time
    rules = [rule for pack in (old, new) for rule in pack.rules if rule.of == of]
    values = _values(old, new, of, rules)
    near = [row for rule in differing for row in _givens(rule, old, new, values)] or [{}]
    anywhere = [row for rule in rules for row in _givens(rule, old, new, values)] or [{}]
    read = sorted({name for rule in differing for name in _reads(rule, old, new) if name in values}) or sorted(values)
    rows = near[: count // 2]
    while len(rows) < count:
        row = {**random.choice(anywhere), **random.choice(near)}
        for name in random.choices(read, k=random.randrange(4)):
            row[name] = random.choice(values[name])
        rows.append(row)
    return rows


def _givens(rule: Rule, old: RulePack, new: RulePack, values: Mapping[str, Sequence[FactValue]]) -> list[_Row]:
    """What the examples of a rule of either pack give, earlier outcomes left out: the stages conclude those."""
    pack = new if new.has_rule(rule.rule_id) and new.rule(rule.rule_id) is rule else old
    return [{name: value for name, value in example.given.items() if name in values} for example in pack.examples_of(rule)]


def _values(old: RulePack, new: RulePack, of: str, rules: Iterable[Rule]) -> dict[str, list[FactValue]]:
    """For each fact of that kind the values that can matter: every choice, and the numbers at and about each limit."""
    limits: dict[str, set[float]] = {}
    for rule in rules:
        for test in tests_in(rule.when):
            if isinstance(test.operand, float):
                limits.setdefault(test.fact, set()).add(test.operand)
    for table in (*old.tables.values(), *new.tables.values()):
        limits.setdefault(table.reads, set()).update(row.up_to for row in table.rows if row.up_to is not None)
    values: dict[str, list[FactValue]] = {}
    for fact in (*old.facts_of(of), *new.facts_of(of)):
        if fact.kind == "number":
            about = {limit * factor for limit in limits.get(fact.name, ()) for factor in (0.99, 1, 1.01)} | {fact.lowest, fact.highest}
            values[fact.name] = [Between(number, number) for number in sorted(about) if fact.lowest <= number <= fact.highest]
        else:
            values[fact.name] = list((YES, NO) if fact.kind == "yes_no" else fact.choices)
    return values


def _reads(rule: Rule, old: RulePack, new: RulePack) -> Iterable[str]:
    pack = new if new.has_rule(rule.rule_id) else old
    return (*(test.fact for test in tests_in(rule.when)), *(pack.reads(rule) if rule in pack.rules else old.reads(rule)))


def _moved(old: RulePack, new: RulePack, of: str, rows: Sequence[_Row]) -> list[Moved]:
    before, after = _concluded(old, of, rows), _concluded(new, of, rows)
    found: list[Moved] = []
    for outcome in new.outcomes.values():
        if outcome.of != of or not _same_scale(old.outcomes.get(outcome.name), outcome):
            continue
        for becomes in (STRICTER, LENIENT):
            fitting = (row for row, *pair in zip(rows, before, after, strict=True) if _becomes(outcome, *pair) == becomes)
            if row := min(fitting, key=len, default=None):
                found.append(_shortest(old, new, outcome, row, becomes))
    return found


def _shortest(old: RulePack, new: RulePack, outcome: Outcome, row: _Row, becomes: str) -> Moved:
    """The difference with every fact withheld that it does not need."""
    for name in list(row):
        fewer = {other: value for other, value in row.items() if other != name}
        if _becomes(outcome, *_pair(old, new, outcome.of, fewer)) == becomes:
            row = fewer
    was, now = _pair(old, new, outcome.of, row)
    units = {fact.name: fact.unit for pack in (old, new) for fact in pack.facts_of(outcome.of)}
    given = {name: value if isinstance(value, str) else f"{value.lowest:g} {units[name]}" for name, value in row.items()}
    return Moved(outcome.name, outcome.of, becomes, given, _told(outcome, was), _told(outcome, now))


def _pair(old: RulePack, new: RulePack, of: str, row: _Row) -> tuple[Conclusion, Conclusion]:
    return _concluded(old, of, [row])[0], _concluded(new, of, [row])[0]


def _concluded(pack: RulePack, of: str, rows: Sequence[_Row]) -> tuple[Conclusion, ...]:
    """What the pack concludes of each row, facts that it does not declare left out."""
    facts = pack.facts_of(of)
    known = [{name: value for name, value in row.items() if _fits(pack, name, value)} for row in rows]
    begun_rows = [begun(of, {fact.name: row.get(fact.name, fact.unknown()) for fact in facts}) for row in known]
    try:
        return through(pack, pack.stages, begun_rows, plainly(pack))
    except Contradiction:
        raise BondwrightError(
            f"`{pack.pack_id}` leaves a size of a {of} without a rule that acts; `rules check --full` says which"
        ) from None


def _fits(pack: RulePack, name: str, value: FactValue) -> bool:
    fact = pack.facts.get(name)
    if fact is None:
        return False
    return isinstance(value, Between) == (fact.kind == "number") and (fact.kind != "choice" or value in (*fact.choices, UNKNOWN))


def _same_scale(old: Outcome | None, new: Outcome) -> bool:
    return old is not None and (old.levels, old.unit, old.cautious, old.of) == (new.levels, new.unit, new.cautious, new.of)


def _becomes(outcome: Outcome, before: Conclusion, after: Conclusion) -> str:
    """Whether the outcome to act on is stricter or more lenient after than before; empty when it is the same."""
    step = _caution(outcome, after) - _caution(outcome, before)
    return STRICTER if step > 0 else LENIENT if step < 0 else ""


def _caution(outcome: Outcome, one: Conclusion) -> float:
    if outcome.levels:
        return one.levels[outcome.name].worst_case
    size = one.sizes[outcome.name]
    return size.highest if outcome.cautious == "larger" else -size.lowest


def _told(outcome: Outcome, one: Conclusion) -> str:
    return outcome.levels[one.levels[outcome.name].worst_case] if outcome.levels else f"{abs(_caution(outcome, one)):g} {outcome.unit}"
