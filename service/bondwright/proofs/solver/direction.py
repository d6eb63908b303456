"""Which way outcomes go from one pack to another, for everything that can be known of a subject: proved, not searched."""

from collections.abc import Iterator, Sequence
from typing import Literal, TypeAlias

import z3
from msgspec import Struct

from bondwright.members import replace
from bondwright.proofs.solver.asking import SECONDS, asked
from bondwright.proofs.solver.chain import Chain, Number, Steps, chain
from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.proofs.solver.symbols import knowledge
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import Outcome, RulePack

Way: TypeAlias = Literal["stricter", "more lenient"]

WAYS: tuple[Way, ...] = ("stricter", "more lenient")


class Turn(Struct, frozen=True):
    """An outcome that becomes stricter or more lenient for somebody; `shown`: what is known then, or why that could not be told."""

    outcome: str
    way: Way
    shown: str


def same_scale(old: Outcome | None, new: Outcome) -> bool:
    """Whether an outcome of two packs is told on the same ladder or in the same unit, of the same kind of subject."""
    return old is not None and (old.levels, old.unit, old.cautious, old.of) == (new.levels, new.unit, new.cautious, new.of)


def unlike_facts(old: RulePack, new: RulePack) -> tuple[str, ...]:
    """Facts of both packs whose kind differs, so that no one row is a row of both."""
    return tuple(name for name in old.facts if name in new.facts and (old.facts[name].kind, old.facts[name].unit) != _kind(new, name))


def turns(old: RulePack, new: RulePack, kinds: Sequence[str], seconds: float = SECONDS) -> tuple[Turn, ...]:
    """Every way in which an outcome of those kinds of subject, told on the same scale by both, goes from `old` to `new` for some knowledge.

    A level goes by its worst case; a size by its cautious end and by the provisional value in use. A question that the solver
    cannot settle in time counts as both ways. Facts that one pack lacks are as unknown as may be to it.
    Precondition: no facts are `unlike_facts`.
    """
    return tuple(turn for of in kinds for turn in _turns(old, new, of, seconds))


def _turns(old: RulePack, new: RulePack, of: str, seconds: float) -> Iterator[Turn]:
    facts = {name: _joined(old.facts.get(name), new.facts.get(name)) for name in (*old.facts, *new.facts)}
    known = knowledge(replace(new, facts=facts), of, "one")
    before, after = chain(old, of, known), chain(new, of, known)
    for outcome in new.outcomes.values():
        if outcome.of == of and same_scale(old.outcomes.get(outcome.name), outcome):
            for way in WAYS:
                lower, higher = (after, before) if way == "more lenient" else (before, after)
                shown = asked((*known.bounds, _less(outcome, lower, higher)), known, seconds)
                if shown is not None:
                    yield Turn(outcome.name, way, shown)


def _kind(pack: RulePack, name: str) -> tuple[str, str]:
    return pack.facts[name].kind, pack.facts[name].unit


def _joined(old: FactDefinition | None, new: FactDefinition | None) -> FactDefinition:
    """A fact with every value that it can have in either pack."""
    if old is None or new is None:
        one = new or old
        assert one is not None
        return one
    return replace(
        new,
        of=tuple(dict.fromkeys((*old.of, *new.of))),
        choices=tuple(dict.fromkeys((*old.choices, *new.choices))),
        lowest=min(old.lowest, new.lowest),
        highest=max(old.highest, new.highest),
    )


def _less(outcome: Outcome, lower: Chain, higher: Chain) -> z3.BoolRef:
    """That the outcome is less cautious in `lower` than in `higher`."""
    if outcome.levels:
        return _lower_level(lower.levels[outcome.name], higher.levels[outcome.name])
    one, other = lower.sizes[outcome.name], higher.sizes[outcome.name]
    return one_of(
        [_smaller(outcome, _end(outcome, one), _end(outcome, other)), _smaller(outcome, _for_now(outcome, one), _for_now(outcome, other))]
    )


def _lower_level(one: Steps, other: Steps) -> z3.BoolRef:
    return one_of([all_of([z3.Not(a), b]) for a, b in zip(one.worst_case, other.worst_case, strict=True)])


def _smaller(outcome: Outcome, one: z3.ArithRef, other: z3.ArithRef) -> z3.BoolRef:
    return one < other if outcome.cautious == "larger" else one > other


def _end(outcome: Outcome, size: Number) -> z3.ArithRef:
    return size.ends.highest if outcome.cautious == "larger" else size.ends.lowest


def _for_now(outcome: Outcome, size: Number) -> z3.ArithRef:
    """The number that is used until more is known."""
    return z3.If(size.provided, size.provisional, _end(outcome, size))
