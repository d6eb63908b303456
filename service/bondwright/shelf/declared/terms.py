"""The terms of descriptions that packs have, read from their published files without their rules."""

import json
import re
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, Protocol, TypeVar

from msgspec import Struct, field

from bondwright.errors import UnreadableRules
from bondwright.installation.terms import THINGS, Terms, Thing, ToldFact
from bondwright.members import replace
from bondwright.rulebook.facts import NO, UNKNOWN, YES, FactDefinition
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.shelf.declared.declaration import DECLARING, declaration, undeclared_choices
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.header import read_format
from bondwright.shelf.lines import entries_alone, file_bytes, read_section, section_lines
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import as_map
from bondwright.shelf.reading.vocabulary import read_told
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.shelved import some_texts

EXAMPLE = "example.json"
"""The file of the description that the document of the interface shows."""
_WORDS = "words"
_SLOT = re.compile(r" ?\{\w+\}")
_TOLD = b"told:"
Read = TypeVar("Read")
MOST_KEPT, MOST_ENTRIES_KEPT = 128, 1024
"""Packs and sections of which a process keeps the terms; and entries of these, which editions of a family have alike."""


class Published(Protocol):
    """A pack as far as its terms are asked: its name, the SHA-256 of its file in hex, and the bytes of that."""

    @property
    def pack_id(self) -> str:
        """Its id."""
        ...

    @property
    def digest(self) -> str:
        """The SHA-256 of its file."""
        ...

    @property
    def text(self) -> bytes:
        """The bytes of its file."""
        ...


class _Own(Struct, frozen=True, eq=False):
    """The terms of one pack, with the name of its file."""

    file: str
    pack: "_Bytes"
    choices: Mapping[str, tuple[str, ...]]
    told: Mapping[Thing, Mapping[str, ToldFact]] = field(default_factory=dict)
    called: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def terms_of(packs: Iterable[Published]) -> Terms:
    """What descriptions may say where any of these packs may judge them: the same object for the same packs, for models are made of it.

    Words stand in the order in which they always did, those of newer packs behind, `unknown` last; of a fact that several packs have
    told, the question is that of the last, and so is what a word is called.
    Raises: UnreadableRules, also where packs tell a number by one name in different units.
    """
    return _together(tuple(_terms_in(_Bytes(pack)) for pack in packs), rules_folder())


@lru_cache(maxsize=MOST_KEPT)
def _together(own: tuple[_Own, ...], folder: Path) -> Terms:
    always = undeclared_choices(folder)
    told: dict[Thing, dict[str, ToldFact]] = {thing: {} for thing in THINGS}
    for one in own:
        for thing, facts in one.told.items():
            for name, fact in facts.items():
                told[thing][name] = _joined(told[thing][name], fact, one) if name in told[thing] else fact
    choices = {of: _in_order(words, [one.choices[of] for one in own]) for of, words in always.items()}
    columns = declaration(folder).words_of_columns()
    called = {of: {word: text for one in own for word, text in one.called.get(of, {}).items()} for of in choices}
    return Terms(choices | columns, told, called, _example(folder))


@lru_cache(maxsize=2)
def _example(folder: Path) -> Mapping[str, Any]:
    example: Mapping[str, Any] = json.loads(file_bytes(folder / EXAMPLE, EXAMPLE))
    return example


def _in_order(always: Collection[str], words: Iterable[Collection[str]]) -> tuple[str, ...]:
    """The words that any pack has, each once; all that there always were where none has any."""
    there = dict.fromkeys(word for some in words for word in some)
    first = [word for word in always if word in there and word != UNKNOWN]
    later = [word for word in there if word not in always and word != UNKNOWN]
    return (*first, *later, *((UNKNOWN,) if UNKNOWN in there else ())) or tuple(always)


class _Bytes(Struct, frozen=True, eq=False):
    """The bytes of a pack. Those of one on the shelf, or in a record, are not held to find what was read in them: its digest will do."""

    pack: Published

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Bytes) and self._key() == other._key()

    def __hash__(self) -> int:
        return hash(self._key())

    def _key(self) -> Hashable:
        return self.pack.pieces() if isinstance(self.pack, RulePack) else (self.pack.pack_id, self.pack.digest)

    def pieces(self) -> tuple[bytes, bytes]:
        """The bytes of its file, and of its language file."""
        return self.pack.pieces() if isinstance(self.pack, PackHead) else parts(self.pack.text)


@lru_cache(maxsize=MOST_KEPT)
def _terms_in(one: _Bytes) -> _Own:
    """The terms of one pack: one that does not declare them has those that all had before."""
    file = f"published/{one.pack.pack_id}.yaml"
    text, words = one.pieces()
    choices = undeclared_choices(rules_folder())
    if read_format(read_section(text, file, "pack")) < DECLARING:
        return _Own(file, one, choices)
    declared = declaration(rules_folder())
    tables = {of: declared.table_of(of) for of in choices}
    rows = _rows_in(section_lines(text, file, "properties")[1])
    told = _told_in(section_lines(text, file, "facts")[1])
    asked = {fact.ask for facts in told.values() for fact in facts.values()}
    named = {of: {word: said for word, said in rows.get(table, {}).items() if said} for of, table in tables.items()}
    texts = some_texts(words, file, {*asked, *(said for words in named.values() for said in words.values())})
    return _Own(
        file,
        one,
        {of: tuple(rows[tables[of]]) if tables[of] in rows else words for of, words in choices.items()},
        {thing: {name: replace(fact, ask=texts[fact.ask]) for name, fact in facts.items()} for thing, facts in told.items()},
        {of: {word: _SLOT.sub("", texts[said]) for word, said in words.items()} for of, words in named.items()},
    )


def _of_entries(section: bytes, read: Callable[[bytes], Read], having: bytes = b"") -> list[Read]:
    """What is read of each entry alone, of those `having` that; of all together, where entries do not each stand on lines of their own."""
    try:
        return [read(alone) for alone in entries_alone(section) if having in alone]
    except UnreadableRules:
        return [read(section)]


@lru_cache(maxsize=MOST_KEPT)
def _rows_in(section: bytes) -> Mapping[str, Mapping[str, str]]:
    """The rows of each table, each with what stands in its column of words; empty where it has none."""
    return dict(one for tables in _of_entries(section, _tables_in) for one in tables.items())


@lru_cache(maxsize=MOST_ENTRIES_KEPT)
def _tables_in(section: bytes) -> Mapping[str, Mapping[str, str]]:
    tables = as_map(read_section(section, "a rule pack", "properties"), "`properties`").entries
    return {name: {row: _words_of(cells) for row, cells in as_map(table, "a table").entries.items()} for name, table in tables.items()}


def _words_of(cells: Node) -> str:
    words = cells.entries.get(_WORDS) if isinstance(cells, Map) else None
    return words.text if isinstance(words, Scalar) else ""


@lru_cache(maxsize=MOST_KEPT)
def _told_in(section: bytes) -> Mapping[Thing, Mapping[str, ToldFact]]:
    """The facts that a pack has told, by what they are told of."""
    facts = [fact for some in _of_entries(section, _facts_in, _TOLD) for fact in some]
    return {thing: {fact.name: _told(fact) for fact in facts if thing in fact.told} for thing in THINGS}


@lru_cache(maxsize=MOST_ENTRIES_KEPT)
def _facts_in(section: bytes) -> tuple[FactDefinition, ...]:
    return tuple(read_told(read_section(section, "a rule pack", "facts")).values())


def _told(fact: FactDefinition) -> ToldFact:
    words = (YES, NO) if fact.kind == "yes_no" else fact.choices
    return ToldFact(fact.name, words, fact.unit, fact.lowest, fact.highest, fact.meaning, fact.ask)


def _joined(before: ToldFact, fact: ToldFact, own: _Own) -> ToldFact:
    """What may be told of a fact that stands in two packs: what either of them takes."""
    if before.unit and fact.unit and before.unit != fact.unit:
        facts = as_map(read_section(own.pack.pieces()[0], own.file, "facts"), "`facts`")
        detail = f"fact `{fact.name}` is told in `{fact.unit}` here and in `{before.unit}` in another pack; give it another name"
        raise refused(facts.keys[fact.name].place, detail)
    numbers = [one for one in (before, fact) if one.unit]
    return replace(
        fact,
        words=tuple(dict.fromkeys((*before.words, *fact.words))),
        unit=before.unit or fact.unit,
        lowest=min((one.lowest for one in numbers), default=0.0),
        highest=max((one.highest for one in numbers), default=0.0),
    )
