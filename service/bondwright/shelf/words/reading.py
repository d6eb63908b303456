"""A published pack as people read it: its lines, with the texts in place of their codes."""

import re
from functools import lru_cache

from bondwright.shelf.words.filling import SIGN
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.language import read_language

_CODE = re.compile(rf'"{SIGN}([\w.-]+)"')


@lru_cache(maxsize=2)
def as_said(text: bytes) -> tuple[str, ...]:
    """The lines of the file of a pack; `text`: with its words behind it, where it has a file of them."""
    pack, words = parts(text)
    lines = pack.decode().splitlines()
    if not words:
        return tuple(lines)
    said = {code: node.text for code, node in read_language(words, "").texts.items()}
    return tuple(_CODE.sub(lambda found: _quoted(said.get(found[1], found[0])), line) for line in lines)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
