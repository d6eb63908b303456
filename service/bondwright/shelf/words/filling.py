"""Texts put back in the place of their codes, in the nodes of a published pack: whatever reads it then reads sentences."""

import hashlib

from bondwright.errors import UnreadableRules
from bondwright.said import Said
from bondwright.shelf.declared.declaration import DECLARING, Declaration
from bondwright.shelf.header import read_format
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_map, fields, text
from bondwright.shelf.words.joined import LANGUAGE, parts, words_file
from bondwright.shelf.words.language import Language, check_slots, missing, read_language, unread
from bondwright.shelf.words.texts import texts_in

SECTION = "words"
"""The section of a published pack with the digest of each of its language files, by language."""
SIGN = "@"
"""What a code begins with where it stands in the place of a text."""


def nodes_of(joined: bytes, file: str, read: Declaration, other: Language | None = None) -> Map:
    """The nodes of a published pack, its texts in their places; `joined`: with its words. `other`: another language to read it in.

    A text that has no words of its own, as a draft or a pack of an older format, is read as it is.
    Raises: UnreadableRules, where a text or slot is lacking or one too many, or the words are not those of the pack.
    """
    pack, words = parts(joined)
    root = read_nodes(pack, file)
    if not words:
        _mark(root, read)
        return root
    english = _english(root, words, words_file(file))
    if other is not None:
        check_slots(other, english)
    _fill(root, other or english, read)
    return root


def read_words(node: Node) -> dict[str, str]:
    """The digest of each language file of a pack, by language."""
    entries = fields(node, f"`{SECTION}`", (LANGUAGE,))
    return {language: text(entry, "a digest") for language, entry in entries.items()}


def demand_words(root: Map, *, draft: bool) -> None:
    """Nothing, if the pack has words of its own just where its format asks for them. Raises: UnreadableRules."""
    form = read_format(root.entries["pack"])
    if SECTION in root.entries and (draft or form < DECLARING):
        raise refused(root.keys[SECTION].place, f"`{SECTION}` is written by publishing, from `format: {DECLARING}` on; leave it out")
    if form >= DECLARING and not draft and SECTION not in root.entries:
        raise refused(root.place, f"a published pack of format {form} has its texts in a language file; `consolidate` makes both")


def _english(root: Map, words: bytes, file: str) -> Language:
    digests = read_words(as_map(root, "a pack").entries[SECTION]) if SECTION in root.entries else {}
    if digests.get(LANGUAGE) != hashlib.sha256(words).hexdigest():
        detail = f"the file differs from its digest under `{SECTION}` in its pack; what was published is never edited"
        raise UnreadableRules(file, 1, 1, detail)
    return read_language(words, file)


def _fill(root: Map, language: Language, read: Declaration) -> None:
    found = list(texts_in(root, read))
    for one in found:
        if one.node.text != SIGN + one.code:
            raise refused(one.node.place, f"{shown(one.node.text)} stands where the code of the text does; write `{SIGN}{one.code}`")
        if one.code not in language.texts:
            raise missing(language, one.code)
        one.put(_known(language.texts[one.code], one.code))
    unread(language, (one.code for one in found))


def _mark(root: Map, read: Declaration) -> None:
    """Texts that stand in their places know their codes too."""
    for one in list(texts_in(root, read)):
        one.put(_known(one.node, one.code))


def _known(node: Scalar, code: str) -> Scalar:
    return Scalar(Said(node.text, code), node.quoted, node.place)
