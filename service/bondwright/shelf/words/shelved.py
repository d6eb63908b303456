"""Packs on the shelf without the rest of them: the language file beside a pack, some of its texts, its head, its reasons."""

import re
from collections.abc import Collection
from functools import lru_cache
from pathlib import Path

from bondwright.errors import UnreadableRules
from bondwright.rulebook.because import Because, KeptCases
from bondwright.rulebook.facts import Place
from bondwright.shelf.lines import file_bytes, read_section
from bondwright.shelf.reading.becauses import read_kept_cases, read_lenient
from bondwright.shelf.reading.nodes import Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_map
from bondwright.shelf.reading.vocabulary import read_sources
from bondwright.shelf.words.filling import SECTION, SIGN
from bondwright.shelf.words.joined import parts, words_file

_NOTE = "note"
_RULES, _RULE, _END = b"\nrules:\n", re.compile(rb"^  - id: ", re.MULTILINE), re.compile(rb"^[a-z]", re.MULTILINE)
_EXAMPLES = re.compile(rb"^    examples:\n(?:    [ -].*\n| *#.*\n|\n)*", re.MULTILINE)
MOST_KEPT = 128
"""Choices of texts of language files that a process keeps."""


def with_words(pack: bytes, folder: Path, file: str) -> bytes:
    """The bytes of a published file, and behind them those of its language file, where it has one. Raises: UnreadableRules."""
    return pack if parts(pack)[1] else b"".join(apart(pack, folder, file))


def apart(pack: bytes, folder: Path, file: str) -> tuple[bytes, bytes]:
    """The bytes of a published file, and those of its language file, which is empty where it has none; they may be joined already.

    Raises: UnreadableRules.
    """
    if f"\n{SECTION}:".encode() not in pack:
        return pack, b""
    name = words_file(file)
    if (folder / name).exists():
        return pack, file_bytes(folder / name, name)
    own, words = parts(pack)
    return own, words or file_bytes(folder / name, name)


def head_on_shelf(pack: bytes, words: bytes, file: str) -> Node:
    """What a published pack says of itself, read without the rest, each node at its place in the file; `words`: its language file.

    Raises: UnreadableRules.
    """
    head = as_map(read_section(pack, file, "pack"), "`pack`")
    note = head.entries.get(_NOTE)
    if words and isinstance(note, Scalar):
        head.entries[_NOTE] = _text(words, file, note)
    return head


def reasons_on_shelf(text: bytes, file: str) -> tuple[tuple[Because, ...], KeptCases | None]:
    """Why a published pack is more lenient than the one before it, and what is kept of its cases. Raises: UnreadableRules.

    The rest of it is not read: for the history of 65 packs that took 9 s, and takes 1.1 (2026-12-01).
    """
    pack = parts(text)[0]

    def has(name: str) -> bool:
        return f"\n{name}:".encode() in pack

    reasons: tuple[Because, ...] = ()
    if has("lenient"):
        outcomes = as_map(read_section(pack, file, "outcomes"), "`outcomes`").entries
        reasons = read_lenient(read_section(pack, file, "lenient"), outcomes, read_sources(read_section(pack, file, "sources")))
    return reasons, read_kept_cases(read_section(pack, file, "cases")) if has("cases") else None


def rules_counted(text: bytes) -> int:
    """How many rules a published pack has, counted without reading them."""
    return len(_RULE.findall(_END.split(text.partition(_RULES)[2], maxsplit=1)[0]))


def without_examples(text: bytes) -> bytes:
    """A published pack with empty lines where its rules have examples, as far as these stand on lines of their own.

    What is left is read in half the time of the whole, and stands on the lines on which it stood.
    """
    before, section, rest = text.partition(_RULES)
    end = _END.search(rest)
    rules = rest[: end.start() if end else len(rest)]
    return before + section + _EXAMPLES.sub(lambda found: b"\n" * found[0].count(b"\n"), rules) + rest[len(rules) :]


def some_texts(words: bytes, file: str, said: Collection[str]) -> dict[str, str]:
    """What texts of a published pack say, by what stands in their place; read without the others; `words`: its language file.

    `said`: codes with their sign, and texts of packs without words of their own, which say themselves. Raises: UnreadableRules.
    """
    codes = {one.removeprefix(SIGN).encode() for one in said if one.startswith(SIGN)}
    if not words or not codes:
        return {one: one for one in said}
    lines = b"\n".join(line for line in words.split(b"\n") if line.partition(b":")[0] in codes)
    found = _texts(lines) if lines else {}
    for code in sorted(codes):
        if code.decode() not in found:
            raise _lacking(Place(file, 1, 1), code.decode())
    return {one: found[one.removeprefix(SIGN)] if one.startswith(SIGN) else one for one in said}


def _text(words: bytes, file: str, said: Scalar) -> Node:
    code = said.text.removeprefix(SIGN)
    if f"\n{code}:".encode() not in words:
        raise _lacking(said.place, code)
    return read_section(words, words_file(file), code)


def _lacking(place: Place, code: str) -> UnreadableRules:
    return refused(place, f"the language file lacks the text {shown(code)}, which the pack says")


@lru_cache(maxsize=MOST_KEPT)
def _texts(lines: bytes) -> dict[str, str]:
    return {code: node.text for code, node in read_nodes(lines, "texts").entries.items() if isinstance(node, Scalar)}
