"""Stages and outcomes: what rules decide, what each level is called, and what is safe to act on while it is not settled."""

import re
from collections.abc import Mapping

from msgspec import Struct, field

from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, NOT_SETTLED, Outcome, Source, Unsettled
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.names import Vocabulary
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, base_unit, fields, new_members, new_name, one_of, row_name, some_of, text
from bondwright.shelf.reading.values import read_backing, read_series, read_tables, read_values
from bondwright.shelf.reading.vocabulary import read_facts, read_sources

UNDECLARED = "undeclared.yaml"
"""The file of what outcomes are read with in packs that were published before outcomes declared it themselves."""

_CODE = re.compile(r"[A-Z][A-Z0-9]*")
_NAMED_CODE = re.compile(r"\bcode ([A-Z][A-Z0-9]*)\b")
_DECLARED = '`{act_on: not_shown, words: "…"}`'


class Undeclared(Struct, frozen=True):
    """What an outcome is read with in a pack that was published before outcomes declared it. `codes`: by level."""

    act_on: str = NOT_SETTLED[0]
    safe: tuple[str, ...] = ()
    at_least: tuple[str, ...] = ()
    codes: Mapping[str, str] = field(default_factory=dict)
    covered: str = ""


def read_undeclared(node: Node) -> dict[str, Undeclared]:
    """What older packs are read with, by the name of the outcome."""
    outcomes = as_map(fields(node, "the file", ("outcomes",))["outcomes"], "`outcomes`")
    return {name: _undeclared(name, entry) for name, entry in outcomes.entries.items()}


def undeclared_outcomes() -> dict[str, Undeclared]:
    """The same out of the installed file."""
    return read_undeclared(read_nodes(file_bytes(rules_folder() / UNDECLARED, UNDECLARED), UNDECLARED))


def _undeclared(name: str, node: Node) -> Undeclared:
    entries = fields(node, f"outcome `{name}`", ("act_on",), ("safe", "at_least", "codes", "covered"))
    codes = as_map(entries["codes"], "`codes`").entries if "codes" in entries else {}
    return Undeclared(
        act_on=one_of(entries["act_on"], NOT_SETTLED, "value of `act_on`"),
        safe=_names(entries, "safe"),
        at_least=_names(entries, "at_least"),
        codes={level: _code(code) for level, code in codes.items()},
        covered=text(entries["covered"], "`covered`") if "covered" in entries else "",
    )


def _names(entries: Mapping[str, Node], key: str) -> tuple[str, ...]:
    return tuple(text(member, "a level") for member in as_items(entries[key], f"`{key}`")) if key in entries else ()


def read_stages(node: Node) -> tuple[str, ...]:
    """The stages in their order."""
    found: list[str] = []
    for member in as_items(node, "`stages`"):
        name = new_name(member, "a stage")
        if name in found:
            raise refused(member.place, f"stage `{name}` stands twice")
        found.append(name)
    return tuple(found)


def declares(node: Node) -> bool:
    """Whether the outcomes of a pack declare what is safe to act on; packs did not from the first."""
    entries = [entry for entry in as_map(node, "`outcomes`").entries.values() if isinstance(entry, Map)]
    return not any(isinstance(entry.entries.get("unsettled"), Scalar) for entry in entries)


def read_outcomes(
    node: Node,
    stages: tuple[str, ...],
    facts: Mapping[str, FactDefinition],
    sources: Mapping[str, Source],
    undeclared: Mapping[str, Undeclared] | None = None,
) -> dict[str, Outcome]:
    """The outcomes by name, in file order; `undeclared`: what they are read with that do not declare it (none: they must)."""
    section = as_map(node, "`outcomes`")
    for name, key in section.keys.items():
        if name in facts:
            raise refused(key.place, f"`{name}` is already the name of a fact")
    subjects = tuple(dict.fromkeys(of for fact in facts.values() for of in fact.of))
    return {
        name: _outcome(
            section.keys[name], entry, stages, subjects, sources, undeclared if undeclared is None else undeclared.get(name, Undeclared())
        )
        for name, entry in section.entries.items()
    }


def _outcome(
    key: Scalar,
    node: Node,
    stages: tuple[str, ...],
    subjects: tuple[str, ...],
    sources: Mapping[str, Source],
    undeclared: Undeclared | None,
) -> Outcome:
    name = row_name(key, "an outcome")
    sized = "unit" in as_map(node, f"outcome `{name}`").entries
    own, optional = (("unit", "cautious"), ()) if sized else (("levels",), ("unsettled", COVERED, LOOK_FIRST))
    entries = fields(node, f"outcome `{name}`", ("of", "stage", "otherwise", *own), optional)
    otherwise = fields(entries["otherwise"], "`otherwise`", ("clause", "why", "source"))
    backing = read_backing(otherwise["source"], sources)
    levels, words, codes = ((), (), ()) if sized else _levels(entries["levels"], undeclared)
    if any(codes) and "unsettled" not in entries:
        raise refused(
            key.place, f"outcome `{name}` has a code, which is for what was found; say with `unsettled` what is safe to act on before"
        )
    covered = text(entries[COVERED], f"`{COVERED}`") if COVERED in entries else "" if undeclared is None else undeclared.covered
    return Outcome(
        name=name,
        of=one_of(entries["of"], subjects, "kind of subject with facts"),
        stage=one_of(entries["stage"], stages, "stage"),
        levels=levels,
        words=words,
        unit=base_unit(entries["unit"], f"outcome `{name}`") if sized else "",
        cautious=one_of(entries["cautious"], ("larger", "smaller"), "cautious end") if sized else "",
        otherwise_clause=text(otherwise["clause"], "`clause`"),
        otherwise_why=text(otherwise["why"], "`why`"),
        place=key.place,
        codes=codes,
        unsettled=_unsettled(entries["unsettled"], levels, codes, undeclared) if "unsettled" in entries else None,
        covered=covered,
        look_first=text(entries[LOOK_FIRST], f"`{LOOK_FIRST}`") if LOOK_FIRST in entries else "",
        otherwise_source=backing.source,
        otherwise_kind=backing.kind,
        otherwise_confidence=backing.confidence,
    )


def _levels(node: Node, undeclared: Undeclared | None) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """The levels, the words of each, and the code of each."""
    ladder = as_map(node, "`levels`")
    if not ladder.keys:
        raise refused(ladder.place, "`levels` names at least two levels, from least to most cautious")
    levels = new_members(ladder.keys.values(), "a level")
    for own in (COVERED, LOOK_FIRST):
        if own in levels:
            raise refused(ladder.keys[own].place, f"`{own}` cannot be the name of a level; it has a meaning of its own")
    if undeclared is not None:
        words = tuple(text(entry, "the words of a level") for entry in ladder.entries.values())
        return levels, words, tuple(undeclared.codes.get(level, "") for level in levels)
    told = [_words_and_code(entry) for entry in ladder.entries.values()]
    return levels, tuple(words for words, _ in told), tuple(code for _, code in told)


def _words_and_code(node: Node) -> tuple[str, str]:
    """What a level is called, and its code; the words name that code and no other."""
    entries = fields(node, "a level", ("words", "code")) if isinstance(node, Map) else {"words": node}
    words, code = text(entries["words"], "the words of a level"), _code(entries["code"]) if "code" in entries else ""
    named = _NAMED_CODE.findall(words)
    if code and (not re.search(rf"\b{code}\b", words) or named not in ([], [code])):  # in other languages the code alone can be told
        raise refused(entries["words"].place, f"the words of a level with a code name it, such as `(code {code})`")
    if named and not code:
        raise refused(node.place, f'the words name a code; write the level as `{{words: "…", code: {named[0]}}}`')
    return words, code


def _code(node: Node) -> str:
    code = text(node, "a code")
    if not _CODE.fullmatch(code):
        raise refused(node.place, f"{shown(code)} is no code; write capital letters and digits, such as `C2`")
    return code


def _unsettled(node: Node, levels: tuple[str, ...], codes: tuple[str, ...], undeclared: Undeclared | None) -> Unsettled:
    if undeclared is not None:
        words = text(node, "`unsettled`")
        safe, at_least = (tuple(level for level in levels if level in some) for some in (undeclared.safe, undeclared.at_least))
        return Unsettled(undeclared.act_on, words, safe, at_least)
    if isinstance(node, Scalar):
        raise refused(
            node.place, f"`unsettled` says what is safe to act on; write {_DECLARED}, with {', '.join(NOT_SETTLED[1:])} where they fit"
        )
    entries = fields(node, "`unsettled`", ("act_on", "words"), ("safe", "at_least"))
    safe, at_least = (some_of(entries[key], levels[1:], "level above the first") if key in entries else () for key in ("safe", "at_least"))
    for level in safe:
        if codes[levels.index(level)]:
            raise refused(
                entries["safe"].place, f"level `{level}` has a code, which is for what was found; it cannot be safe to act on before"
            )
    return Unsettled(
        act_on=one_of(entries["act_on"], NOT_SETTLED, "value of `act_on`"),
        words=text(entries["words"], "`words`"),
        safe=safe,
        at_least=at_least,
    )


def read_vocabulary(sections: Mapping[str, Node], *, draft: bool) -> Vocabulary:
    """All that a pack declares for its rules to name; `sections`: of its file. Raises: UnreadableRules."""
    values = tuple(as_map(sections["values"], "`values`").keys)
    tables = tuple(as_map(sections["references"], "`references`").keys) if "references" in sections else ()
    stages, sources = read_stages(sections["stages"]), read_sources(sections["sources"])
    facts = read_facts(sections["facts"], (*values, *tables))
    undeclared = None if draft or declares(sections["outcomes"]) else undeclared_outcomes()
    return Vocabulary(
        stages=stages,
        facts=facts,
        outcomes=read_outcomes(sections["outcomes"], stages, facts, sources, undeclared),
        sources=sources,
        values=read_values(sections["values"], sources, facts),
        series=read_series(sections["series"]),
        tables=read_tables(sections["tables"], sources, facts),
    )
