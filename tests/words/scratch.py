"""A second language that nobody speaks: every letter of a text exchanged for another; slots and codes of observations stay."""

import re
from functools import cache

from tests.words.raised import EDITION, file_of, text_of

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import load_pack_in
from bondwright.shelf.words.joined import parts

_KEPT = re.compile(r"(\{\w*\}|\b(?:C[123]|FI)\b)")
_SMALL, _LARGE = (range(0x101, 0x135, 2), range(0x100, 0x134, 2))
_SMALL_LETTERS = {chr(ord("a") + number): chr(other) for number, other in enumerate(_SMALL)}
_LARGE_LETTERS = {chr(ord("A") + number): chr(other) for number, other in enumerate(_LARGE)}
_LETTERS = str.maketrans(_SMALL_LETTERS | _LARGE_LETTERS)
_LINE = re.compile(r'^([a-z][\w.-]*): "(.*)"$')


def exchanged(text: str) -> str:
    """The text in the other language.

    >>> exchanged("Bond {bond}: C2.")
    'ĂĝěĈ {bond}: C2.'
    """
    return "".join(piece if _KEPT.fullmatch(piece) else piece.translate(_LETTERS) for piece in _KEPT.split(text))


def in_scratch(words: bytes) -> bytes:
    """A language file in the other language."""
    lines = words.decode().replace("\nlanguage: en\n", "\nlanguage: art\n", 1).split("\n")
    return "\n".join(_LINE.sub(lambda found: f'{found[1]}: "{exchanged(found[2])}"', line) for line in lines).encode()


@cache
def scratch_pack(edition: str = EDITION) -> RulePack:
    """The pack of the edition, read in the other language."""
    text = text_of(edition)
    return load_pack_in(text, file_of(edition), in_scratch(parts(text)[1]), "art.yaml")
