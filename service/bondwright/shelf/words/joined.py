"""A published pack with its words as one text: its file, and behind it the file of its language. Both are digested together."""

from typing import Final

LANGUAGE: Final = "en"
"""The language in which packs are written and published."""
MARK: Final = b"# ==== words\n"
"""The first line of a language file."""


def parts(text: bytes) -> tuple[bytes, bytes]:
    """The file of the pack, and that of its words, which is empty where it has none of its own.

    >>> parts(b"pack: 1\\n# ==== words\\nlanguage: en\\n")
    (b'pack: 1\\n', b'# ==== words\\nlanguage: en\\n')
    """
    at = text.find(b"\n" + MARK) + 1
    return (text[:at], text[at:]) if at else (text, b"")


def words_file(file: str, language: str = LANGUAGE) -> str:
    """The name of the language file of a published file.

    >>> words_file("published/book-first-r1.yaml")
    'published/book-first-r1.en.yaml'
    """
    return f"{file.removesuffix('.yaml')}.{language}.yaml"
