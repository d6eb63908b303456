"""Mistakes that somebody could make in a pack and that a worked case has to notice."""

from bisect import bisect_left
from collections.abc import Iterator

from bondwright.members import replace
from bondwright.proofs.mutations import Moves, Mutant, mutants, nudged
from bondwright.rulebook.pack import JoinedRow, RulePack

_ANY = "any"


def mistakes(pack: RulePack) -> Iterator[Mutant]:
    """Every mistake of `proofs.mutations`, sizes mistaken for the next ones made; rows of the joined table and clauses too, and
    each act that another takes the place of on metal that may be shared.

    Named values are left out: what rules read of them is written into the rules when a pack is read.
    """
    yield from mutants(pack, _next_made(pack))
    yield from _joined(pack)
    yield from _clauses(pack)


def _next_made(pack: RulePack) -> Moves:
    """The sizes made beside one that is made; any other number is nudged.

    A size that is asked for is rounded up to one that is made, so that a nudged one would come to the same.
    """
    made = sorted({row.use for table in pack.tables.values() for row in table.rows})

    def moves(value: float) -> Iterator[float]:
        at = bisect_left(made, value)
        if at == len(made) or made[at] != value:
            yield from nudged(value)
            return
        yield from (made[beside] for beside in (at - 1, at + 1) if 0 <= beside < len(made))

    return moves


def _joined(pack: RulePack) -> Iterator[Mutant]:
    """Each row but the last, which fits whatever no other does and without which the table is refused, dropped or loosened."""
    for at, row in enumerate(pack.joined[:-1]):
        rest = (*pack.joined[:at], *pack.joined[at + 1 :])
        yield _with_rows(pack, row, rest, "is dropped")
        for name, looser in _looser(row):
            others = (*pack.joined[:at], looser, *pack.joined[at + 1 :])
            yield _with_rows(pack, row, others, f"fits whatever `{name}` is")
    for act, advice in pack.advice.items():
        if advice.if_shared:
            place = next(row.place for row in pack.joined if row.act == act)
            without = {**pack.advice, act: replace(advice, if_shared="")}
            yield Mutant(replace(pack, advice=without), f"act `{act}` serves for metal that may be shared too", place, (), ("advice", act))


def _looser(row: JoinedRow) -> Iterator[tuple[str, JoinedRow]]:
    if row.duty:
        yield "duty", replace(row, duty=())
    if row.objection:
        yield "objection", replace(row, objection=())
    if row.bond:
        yield "bond", replace(row, bond=())
    if row.duty_firm != _ANY:
        yield "duty_firm", replace(row, duty_firm=_ANY)
    if row.objection_firm != _ANY:
        yield "objection_firm", replace(row, objection_firm=_ANY)


def _with_rows(pack: RulePack, row: JoinedRow, rows: tuple[JoinedRow, ...], what: str) -> Mutant:
    told = f"the row of `joined` for `{row.act}` {what}"
    return Mutant(replace(pack, joined=rows), told, row.place, (), ("joined", row.act))


def _clauses(pack: RulePack) -> Iterator[Mutant]:
    """Each rule under the clause of the first rule that shares none with it."""
    for rule in pack.rules:
        own = set(clauses_in(rule.clause))
        other = next((one.clause for one in pack.rules if own.isdisjoint(clauses_in(one.clause))), "")
        if other:
            rules = tuple(replace(rule, clause=other) if one is rule else one for one in pack.rules)
            told = f"rule `{rule.rule_id}` stands under `{other}` for `{rule.clause}`"
            yield Mutant(replace(pack, rules=rules), told, rule.origin, (rule,), ("rule", rule.rule_id), rule.clause)


def clauses_in(written: str) -> tuple[str, ...]:
    """The clauses that stand in one text.

    >>> clauses_in("544.1; Table 54.8")
    ('544.1', 'Table 54.8')
    """
    return tuple(one.strip() for one in written.split(";"))
