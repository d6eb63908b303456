"""The terms of descriptions that packs have, read from their published files without their rules."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Protocol

from bondwright.errors import UnreadableRules
from bondwright.installation.terms import THINGS, Terms, Thing, ToldFact
from bondwright.rulebook.facts import NO, YES, FactDefinition
from bondwright.shelf.declared.declaration import DECLARING
from bondwright.shelf.header import read_format
from bondwright.shelf.reading.nodes import read_section
from bondwright.shelf.reading.vocabulary import read_told

MOST_KEPT = 64
"""Packs of which a process keeps the terms."""

_Facts = dict[Thing, dict[str, ToldFact]]


class Published(Protocol):
    """A pack as far as its terms are asked: its name and the bytes of its file."""

    @property
    def pack_id(self) -> str:
        """Its id."""
        ...

    @property
    def digest(self) -> str:
        """The SHA-256 of its text, in hex."""
        ...

    @property
    def text(self) -> bytes:
        """The bytes of its file."""
        ...


def terms_of(packs: Iterable[Published]) -> Terms:
    """What descriptions may say where any of these packs may judge them, of what is in several in the words of the last.

    Raises: UnreadableRules, also where packs tell a number by one name in different units.
    """
    told: _Facts = {thing: {} for thing in THINGS}
    for pack in packs:
        for thing, facts in _told_in(pack.text, f"published/{pack.pack_id}.yaml").items():
            for name, fact in facts.items():
                told[thing][name] = _joined(told[thing][name], fact, pack) if name in told[thing] else fact
    return Terms(told=told)


@lru_cache(maxsize=MOST_KEPT)
def _told_in(text: bytes, file: str) -> Mapping[Thing, Mapping[str, ToldFact]]:
    """The facts that one pack has told, by what they are told of."""
    if read_format(read_section(text, file, "pack")) < DECLARING:
        return {}
    facts = read_told(read_section(text, file, "facts")).values()
    return {thing: {fact.name: _told(fact) for fact in facts if thing in fact.told} for thing in THINGS}


def _told(fact: FactDefinition) -> ToldFact:
    words = (YES, NO) if fact.kind == "yes_no" else fact.choices
    return ToldFact(fact.name, words, fact.unit, fact.lowest, fact.highest, fact.meaning, fact.ask)


def _joined(before: ToldFact, fact: ToldFact, pack: Published) -> ToldFact:
    """What may be told of a fact that stands in two packs: what either of them takes."""
    if before.unit and fact.unit and before.unit != fact.unit:
        detail = f"fact `{fact.name}` is told in `{fact.unit}` here and in `{before.unit}` in another pack; give it another name"
        raise UnreadableRules(f"published/{pack.pack_id}.yaml", 1, 1, detail)
    numbers = [one for one in (before, fact) if one.unit]
    return replace(
        fact,
        words=tuple(dict.fromkeys((*before.words, *fact.words))),
        unit=before.unit or fact.unit,
        lowest=min((one.lowest for one in numbers), default=0.0),
        highest=max((one.highest for one in numbers), default=0.0),
    )
