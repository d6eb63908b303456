"""The sentences that code fills, as a pack brings them, or as packs are read that were published before packs brought them."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from bondwright.rulebook.held import Sentences
from bondwright.shelf.declared.declaration import DECLARING, Declaration, declaration
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_map, fields, suggestion, text
from bondwright.shelf.words.language import check_filled

UNDECLARED_WORDS = "undeclared-words.yaml"
"""The file of what is said with packs that were published before packs brought these sentences."""
SECTION = "sentences"


def sentences_of(root: Map, form: int, folder: Path, read: Declaration) -> Sentences:
    """The sentences of a pack; `folder`: of the rules. Raises: UnreadableRules, if one is lacking, unknown, or has other slots."""
    if SECTION in root.entries:
        return read_sentences(root.entries[SECTION], read.sentences)
    if form >= DECLARING:
        raise refused(root.place, f"a pack of format {form} has a section `{SECTION}`; write it in `{SECTION}.yaml`")
    return _undeclared(folder)


def read_sentences(node: Node, known: Mapping[str, tuple[str, ...]]) -> Sentences:
    """The sentences by code; `known`: the slots that code fills, by code."""
    section = as_map(node, f"`{SECTION}`")
    for code, key in section.keys.items():
        if code not in known:
            left = (one for one in known if one not in section.keys)
            raise refused(key.place, f"code says no sentence {shown(code)}{suggestion(code, left)}")
    said = {code: text(entry, f"sentence `{code}`") for code, entry in fields(section, f"`{SECTION}`", known).items()}
    for code, line in said.items():
        check_filled(code, Scalar(line, True, section.entries[code].place), known[code])
    return Sentences(said)


@lru_cache(maxsize=2)
def _undeclared(folder: Path) -> Sentences:
    root = read_nodes(file_bytes(folder / UNDECLARED_WORDS, UNDECLARED_WORDS), UNDECLARED_WORDS)
    return read_sentences(fields(root, "the file", (SECTION,))[SECTION], declaration(folder).sentences)
