"""The sentences that code fills, as a pack brings them, or as packs are read that were published before there were any, or these."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from bondwright.rulebook.held import Row, Sentences
from bondwright.shelf.declared.declaration import DECLARING, Declaration, declaration
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_map, fields, suggestion, text
from bondwright.shelf.reading.vocabulary import read_properties
from bondwright.shelf.words.language import check_filled

SECTION = "sentences"
CALCULATIONS = "calculations"
"""The section of the sentences that calculations say."""
UNDECLARED_WORDS = "undeclared-words.yaml"
"""The file of what is said with packs that were published before packs brought sentences."""
UNDECLARED_CALCULATIONS = "undeclared-sentences-of-calculations.yaml"
"""The file of what calculations say with packs that were published before packs brought that, or before there was such a sentence."""
UNDECLARED_PAGE = "undeclared-page.yaml"
"""The file of what the page for the site says with packs that were published before there was one."""
_TABLES, GENERAL = "properties", "general"


def sentences_of(root: Map, form: int, folder: Path, read: Declaration, *, draft: bool) -> Sentences:
    """The sentences of a pack, those of calculations among them; `folder`: of the rules.

    Raises: UnreadableRules, if one is lacking, unknown, or has other slots. Sentences of calculations that a published pack lacks are
    those of before, and it may have some that are no longer said. One that has none of the page for the site has those of before.
    """
    if SECTION in root.entries:
        section = as_map(root.entries[SECTION], f"`{SECTION}`")
        later = read.later_sentences if any(code in section.keys for code in read.later_sentences) else {}
        said = read_sentences(section, {**read.sentences, **later}, SECTION)
    elif form >= DECLARING:
        raise refused(root.place, f"a pack of format {form} has a section `{SECTION}`; write it in `{SECTION}.yaml`")
    else:
        said = _undeclared(folder, UNDECLARED_WORDS, SECTION)
    if draft and form >= DECLARING and CALCULATIONS not in root.entries:
        raise refused(root.place, f"a draft has a section `{CALCULATIONS}`; write it in `{SECTION}-of-{CALCULATIONS}.yaml`")
    calculated = dict(undeclared_calculations(folder).by_code)
    if CALCULATIONS in root.entries:
        calculated.update(read_sentences(root.entries[CALCULATIONS], read.calculations, CALCULATIONS, whole=draft).by_code)
    return Sentences({**_page(folder)[0].by_code, **said.by_code, **calculated})


def undeclared_calculations(folder: Path) -> Sentences:
    """Every sentence of calculations as it was said before packs brought it. Raises: UnreadableRules."""
    return _undeclared(folder, UNDECLARED_CALCULATIONS, CALCULATIONS)


def read_sentences(node: Node, known: Mapping[str, tuple[str, ...]], name: str, *, whole: bool = True) -> Sentences:
    """The sentences of a section by code; `known`: the slots that code fills, by code. `whole`: all of these, and no other.

    Raises: UnreadableRules.
    """
    section = as_map(node, f"`{name}`")
    for code, key in section.keys.items():
        if whole and code not in known:
            left = (one for one in known if one not in section.keys)
            raise refused(key.place, f"code says no sentence {shown(code)}{suggestion(code, left)}")
    entries = fields(section, f"`{name}`", known if whole else (), None)
    said = {code: text(entry, f"sentence `{code}`") for code, entry in entries.items() if code in known}
    for code, line in said.items():
        check_filled(code, Scalar(line, True, section.entries[code].place), known[code])
    return Sentences(said)


def tables_of_page(pack_id: str, folder: Path) -> Mapping[str, Mapping[str, Row]]:
    """The tables that the page reads, as they are for a pack that lacks them. Raises: UnreadableRules."""
    tables = _page(folder)[1]
    return next((some for family, some in tables.items() if pack_id.startswith(f"{family}-")), tables[GENERAL])


@lru_cache(maxsize=2)
def _page(folder: Path) -> tuple[Sentences, Mapping[str, Mapping[str, Mapping[str, Row]]]]:
    """The sentences, and the tables by family. Raises: UnreadableRules."""
    root = read_nodes(file_bytes(folder / UNDECLARED_PAGE, UNDECLARED_PAGE), UNDECLARED_PAGE)
    sections = fields(root, "the file", (SECTION, _TABLES))
    tables = {family: read_properties(entry) for family, entry in as_map(sections[_TABLES], f"`{_TABLES}`").entries.items()}
    return read_sentences(sections[SECTION], declaration(folder).later_sentences, SECTION), tables


@lru_cache(maxsize=4)
def _undeclared(folder: Path, file: str, name: str) -> Sentences:
    root = read_nodes(file_bytes(folder / file, file), file)
    known = {SECTION: declaration(folder).sentences, CALCULATIONS: declaration(folder).calculations}
    return read_sentences(fields(root, "the file", (name,))[name], known[name], name)
