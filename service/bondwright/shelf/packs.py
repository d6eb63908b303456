"""Whole packs: a published file read, five editable files put together, the shelf of published packs."""

import hashlib
from collections.abc import Callable, Collection, Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from bondwright.collecting import nothing_collected
from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Examples
from bondwright.shelf.amendments import BASE_SECTIONS, LENIENT
from bondwright.shelf.declared.clauses import SECTION as CLAUSES
from bondwright.shelf.declared.clauses import check_clauses
from bondwright.shelf.declared.declaration import BOUNDED, DECLARING, STRICT, Declaration, declaration
from bondwright.shelf.declared.family import check_family
from bondwright.shelf.declared.instructions import with_instructions
from bondwright.shelf.declared.names import SECTION as ROLES
from bondwright.shelf.declared.names import read_names
from bondwright.shelf.declared.needed import demand_fit, names_kinds
from bondwright.shelf.declared.strict import Held, check_held
from bondwright.shelf.declared.told import check_told
from bondwright.shelf.drafts.consolidated import Draft, consolidated
from bondwright.shelf.drafts.shared import LATER_FILES, SHARED_FILES
from bondwright.shelf.folder import LOCK as LOCK
from bondwright.shelf.folder import rules_folder as rules_folder
from bondwright.shelf.header import read_format, read_head
from bondwright.shelf.kinds import leaves_kinds_undeclared, read_kinds, undeclared_kinds
from bondwright.shelf.lines import edited_at
from bondwright.shelf.outcomes import read_vocabulary
from bondwright.shelf.places.declared import SECTIONS as PLACES
from bondwright.shelf.places.declared import Known, declares_places, kind_facts, read_places, undeclared_places
from bondwright.shelf.places.reach import about_places, within_places
from bondwright.shelf.reading.advice import read_advice, read_cautions, read_joined, read_readings
from bondwright.shelf.reading.becauses import read_kept_cases, read_lenient
from bondwright.shelf.reading.names import Vocabulary
from bondwright.shelf.reading.nodes import Map, Node, read_nodes, refused
from bondwright.shelf.reading.references import read_references
from bondwright.shelf.reading.rules import read_all_examples, read_rules
from bondwright.shelf.reading.scalars import fields
from bondwright.shelf.reading.vocabulary import read_asks, read_properties
from bondwright.shelf.words.filling import SECTION as WORDS
from bondwright.shelf.words.filling import demand_words, nodes_of, read_words
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.language import read_language
from bondwright.shelf.words.sentences import sentences_of, tables_of_page
from bondwright.shelf.words.shelved import without_examples
from bondwright.shelf.words.splitting import issued
from bondwright.shelf.words.texts import wording

_KNOWN = (*BASE_SECTIONS, *(name for _, names in SHARED_FILES for name in names))
_MAY_HAVE = (*(name for _, names in LATER_FILES for name in names), *LENIENT, CLAUSES, ROLES, WORDS, "cases")

MOST_KEPT = 128
"""Packs that a process remembers once it has read them: all on the shelf, the drafts of their editions, and room for changes to these."""


def load_pack(text: bytes, file_name: str) -> RulePack:
    """The pack that a published file holds; `file_name` is its name within the rules folder. Raises: UnreadableRules.

    A pack that was read lately is the same object again: reading one takes 0.1 s, and nothing but these two decides it, and the
    installed `undeclared.yaml`.
    """
    return _loaded(text, file_name)


def load_pack_in(text: bytes, file_name: str, words: bytes, words_name: str) -> RulePack:
    """The same pack in another language: `words` are those of its own language file with every sentence in that one.

    Raises: UnreadableRules, also where a sentence or a slot of one is lacking or one too many.
    """
    read = declaration(rules_folder())
    language = read_language(words, words_name)
    pack = pack_of(nodes_of(text, file_name, read, language), text)
    return replace(pack, words={language.name: language.digest})


@lru_cache(maxsize=MOST_KEPT)
def _loaded(text: bytes, file_name: str) -> RulePack:
    with nothing_collected():  # looking took a sixth of reading a pack (2026-11-30)
        return pack_of(nodes_of(text, file_name, declaration(rules_folder())), text)


@lru_cache(maxsize=MOST_KEPT)
def load_to_judge(text: bytes, file_name: str) -> RulePack:
    """The pack that `load_pack` gives, its examples read when they are asked for; they were checked when it was published."""
    with nothing_collected():
        try:
            root = nodes_of(without_examples(text), file_name, declaration(rules_folder()))
        except UnreadableRules:  # examples that were laid out otherwise than publishing leaves them
            return _loaded(text, file_name)
        return pack_of(root, text, proved=lambda: read_nodes(parts(text)[0], file_name).entries["rules"])


@lru_cache(maxsize=MOST_KEPT)
def _drafted(draft: Draft) -> RulePack:
    return pack_of(draft.root, draft.text, draft=True)


def pack_of(root: Map, text: bytes, draft: bool = False, proved: Callable[[], Node] | None = None) -> RulePack:
    """The pack that the nodes of a published file make, its texts in their places; `text`: its bytes.

    `proved`: finds its rules with their examples, where the nodes are without these. Raises: UnreadableRules.
    """
    form, (own_file, language_file) = read_format(fields(root, "a rule pack", ("pack",), None)["pack"]), parts(text)
    sections = _parts(root, form)
    vocabulary, older = read_vocabulary(sections, draft=draft), undeclared_kinds()
    declared = draft or not leaves_kinds_undeclared(sections["properties"])
    references = read_references(sections["references"], vocabulary.sources) if "references" in sections else {}
    told_by = kind_facts(sections["facts"], form >= DECLARING)
    kinds = read_kinds(sections["properties"], sections["facts"], vocabulary.sources, older, declared, told_by)
    _check(Held(root, vocabulary.values, references, vocabulary.facts, form), form)
    advice = ({} if declared else dict(older.advice)) | read_advice(sections["advice"])
    advice, properties = with_instructions(advice, sections["advice"], rules_folder()), read_properties(sections["properties"])
    pack = RulePack(
        **read_head(sections["pack"]),
        digest=hashlib.sha256(text).hexdigest(),
        stages=vocabulary.stages,
        facts=vocabulary.facts,
        outcomes=vocabulary.outcomes,
        tables=vocabulary.tables,
        values=vocabulary.values,
        properties=properties,
        **_names(sections, vocabulary, properties, form),
        kinds=kinds,
        asks=({} if declared else dict(older.asks)) | read_asks(sections["asks"]),
        joined=read_joined(sections["joined"], vocabulary.outcomes, advice),
        advice=advice,
        readings=read_readings(sections["readings"]),
        cautions=read_cautions(sections["cautions"]),
        sources=vocabulary.sources,
        **_placed(sections, Known.of(vocabulary, advice, kinds, properties), vocabulary, form, proved),
        own_file=own_file,
        language_file=language_file,
        **_as_of_format(root, form, declaration(rules_folder()), draft),
        references=references,
        lenient=read_lenient(sections["lenient"], vocabulary.outcomes, vocabulary.sources) if "lenient" in sections else (),
        cases=read_kept_cases(sections["cases"]) if "cases" in sections else None,
    )
    if form >= STRICT or names_kinds(pack):
        demand_fit(pack, root)
    return pack


def _names(sections: Mapping[str, Node], vocabulary: Vocabulary, properties: Collection[str], form: int) -> dict[str, Any]:
    """What the pack calls things, and the rows that it lacks, those of the page for the site among them."""
    names = read_names(sections, tuple(vocabulary.outcomes), form)
    of_page = tables_of_page(read_head(sections["pack"])["pack_id"], rules_folder())
    lacking = {name: rows for name, rows in of_page.items() if name not in properties}
    return {**names, "undeclared": {**lacking, **names["undeclared"]}}


def _as_of_format(root: Map, form: int, read: Declaration, draft: bool) -> dict[str, Any]:
    """What depends on the format: the words, and how sizes and lacking columns are read."""
    demand_words(root, draft=draft)
    return {
        "say": sentences_of(root, form, rules_folder(), read, draft=draft),
        "wording": wording(read),
        "words": read_words(root.entries[WORDS]) if WORDS in root.entries else {},
        "format": form,
        "bounds_for_now": form >= BOUNDED,
        **read.beside(),
    }


def _placed(
    sections: Mapping[str, Node], known: Known, vocabulary: Vocabulary, form: int, proved: Callable[[], Node] | None
) -> dict[str, Any]:
    """The places of a pack, its rules as far as they reach them, and what reads the examples of these."""
    rules, declares = read_rules(sections["rules"], vocabulary), form >= DECLARING
    places = read_places(sections, known) if declares else undeclared_places(known)
    kind = kind_facts(sections["facts"], declares)["location"] if declares else ""

    @cache
    def examples() -> Examples:
        found = read_all_examples(proved() if proved else sections["rules"], vocabulary)
        return about_places(found, rules, places, kind) if kind else found

    if proved is None:
        examples()
    return {"places": places, "rules": within_places(rules, places, kind) if kind else rules, "read_examples": examples}


def _parts(root: Map, form: int) -> Mapping[str, Node]:
    """The sections that a pack of that format may have."""
    known = (*_KNOWN, *(PLACES if declares_places(root, form) else ()))
    return fields(root, "a rule pack", known, [name for name in _MAY_HAVE if name not in PLACES])


def _check(held: Held, form: int) -> None:
    """Refuses what a pack of that format may not hold. Raises: UnreadableRules."""
    read = declaration(rules_folder())
    check_told(held.root, held.facts, read, form)
    if form >= STRICT:
        check_clauses(held.root)
        check_held(held, read)


def consolidate(folder: Path, edition: str) -> bytes:
    """The published file of the editable files in `folder`; `edition` is such as `bs7671/2018-a4`.

    The edition with its amendments made, then the files that editions share, comments included, each under a line that
    names it, and at the end why the edition is more lenient in something than the pack that it follows; each rule gains the
    line `from: "FILE:LINE"` below its id. From format 4 on the language file stands behind it, and codes where the texts stood.
    The same files give the same bytes.
    Raises: UnreadableRules.
    """
    draft = consolidated(folder, edition)
    return issued(draft.text, draft.name, declaration(rules_folder()))


def draft_pack(folder: Path, edition: str) -> RulePack:
    """The pack that publishing the files in `folder` would give; what is wrong is placed in the file to edit."""
    draft = consolidated(folder, edition)
    check_family(folder, edition)
    try:
        return _drafted(draft)
    except UnreadableRules as error:
        raise refused(edited_at(draft.lines, Place(error.file, error.line, error.column)), error.detail) from None


def issued_text(draft: RulePack) -> bytes:
    """The text that publishing gives to a draft: what decides, and from format 4 on its words behind it. Raises: UnreadableRules."""
    return issued(draft.text, f"draft of {draft.pack_id}.yaml", declaration(rules_folder()))


def edited_place(folder: Path, edition: str, place: Place) -> Place:
    """Where a place in the text of a draft pack is edited."""
    return edited_at(consolidated(folder, edition).lines, place)
