"""No rule reaches a kind of thing that the pack does not judge, and no act upon it is anything but to say so."""

from collections.abc import Iterator

import z3

from bondwright.proofs.findings import Finding
from bondwright.proofs.solver.asking import SECONDS, must_be_impossible
from bondwright.proofs.solver.chain import chain
from bondwright.proofs.solver.difference import differ
from bondwright.proofs.solver.symbols import Knowledge, Told, knowledge
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.kinds import KindOf
from bondwright.rulebook.pack import NOT_JUDGED, RulePack

_CHECK = "kinds"
_ACTS = (NOT_JUDGED, "not_judged_there")
_ORDERS = ("{size}", "{place}", "{bond}", "{reading}", "{once}", "{duty}", "{objection}")


def kinds(pack: RulePack, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """An error for each kind that is not judged and that some rule tells from another; for an act upon such a thing that asks for
    something, and for one that is joined from duty and objection, which only judged things have; for a pack that judges no kind.
    Nothing for a pack that does not say which kinds it judges.
    """
    return tuple(_found(pack, seconds)) if pack.kinds.declared else ()


def _found(pack: RulePack, seconds: float) -> Iterator[Finding]:
    yield from _acts(pack)
    for of, fact in pack.kinds.facts.items():
        if fact in pack.facts:
            yield from _told_apart(pack, of, pack.facts[fact], seconds)
    rows = [kind for some in pack.kinds.rows.values() for kind in some.values()]
    judged = sum(kind.judged for kind in rows)
    if not judged:
        yield Finding(_CHECK, "error", pack.kinds.place, "the pack judges no kind of thing at all")
    yield Finding(_CHECK, "information", None, f"{judged} of {len(rows)} kinds of things are judged")


def _acts(pack: RulePack) -> Iterator[Finding]:
    for name in _ACTS:
        advice = pack.advice.get(name)
        if advice is None or advice.mark != NOT_JUDGED:
            yield Finding(_CHECK, "error", pack.kinds.place, f"act `{name}` has not the mark `{NOT_JUDGED}`")
        elif advice.tests or any(order in advice.line for order in _ORDERS):
            yield Finding(_CHECK, "error", pack.kinds.place, f"act `{name}` asks for something, and no rule is behind it")
    for row in pack.joined:
        if row.act in _ACTS:
            yield Finding(_CHECK, "error", row.place, f"`{row.act}` is no act for a thing that has duty and objection")


def _told_apart(pack: RulePack, of: KindOf, fact: FactDefinition, seconds: float) -> Iterator[Finding]:
    """The kinds that are not judged, and by which something comes out otherwise than by some judged kind, all else the same."""
    judged = [name for name in fact.choices if pack.kind(of, name).judged]
    for name in fact.choices:
        kind = pack.kind(of, name)
        for subject in fact.of if judged and not kind.judged else ():
            known = knowledge(pack, subject, "one")
            it, another = (_named(known, fact.name, z3.IntVal(fact.choices.index(choice))) for choice in (name, judged[0]))
            wrong = Finding(_CHECK, "error", kind.place, f"`{name}` is not judged, and a rule tells it from `{judged[0]}`")
            moved = differ(chain(pack, subject, it), chain(pack, subject, another))
            yield from must_be_impossible(wrong, (*known.bounds, moved), (("knowing", it),), seconds)


def _named(known: Knowledge, fact: str, choice: z3.ArithRef) -> Knowledge:
    """What is known, with a choice that is told."""
    told = known.row[fact]
    assert isinstance(told, Told), "kinds are choices"
    return Knowledge({**known.row, fact: Told(choice, z3.BoolVal(True), told.choices)}, known.bounds)
