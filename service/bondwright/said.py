"""Words of an answer that know how they were made: by which text of the pack, with what in its slots, or of which others joined."""

from collections.abc import Iterable, Mapping
from typing import Annotated, TypeAlias

SENTENCE = "sentence"
"""Marks a member of an answer that holds a sentence to read, not a word for machines."""
MAY_BE_EMPTY = "may be empty"
Sentence: TypeAlias = Annotated[str, SENTENCE]
SentenceIfAny: TypeAlias = Annotated[str, SENTENCE, MAY_BE_EMPTY]

_NONE: Mapping[str, str] = {}


class Said(str):
    """Words, and what they were made of; they are the words wherever a text is wanted.

    `code`: of the text in the language file of the pack; empty where the words are `made_of` others, one after the other. `slots`: what
    each slot of the text was filled with. What is in neither is as it was described, or a number.
    """

    __slots__ = ("code", "made_of", "slots")

    code: str
    slots: Mapping[str, str]
    made_of: tuple[str, ...]

    def __new__(cls, words: str, code: str = "", slots: Mapping[str, str] = _NONE, made_of: tuple[str, ...] = ()) -> "Said":
        """The words, as they were made."""
        said = super().__new__(cls, words)
        said.code, said.slots, said.made_of = code, slots, made_of
        return said

    def __reduce__(self) -> tuple[type["Said"], tuple[str, str, dict[str, str], tuple[str, ...]]]:
        """How a copy is made."""
        return Said, (str(self), self.code, dict(self.slots), self.made_of)


class _Filling(dict[str, str]):
    """What a text takes of the words that are offered to it."""

    __slots__ = ("_offered",)

    def __init__(self, offered: Mapping[str, str]) -> None:
        super().__init__()
        self._offered = offered

    def __missing__(self, name: str) -> str:
        found = self[name] = self._offered[name]
        return found


def filled(template: str, words: Mapping[str, str], code: str = "") -> str:
    """The template with its slots filled; what stands in braces in what fills them stays as it is. `code`: its own, unless it knows it.

    >>> filled("Bond {bond}: {told}.", {"bond": "b1", "told": "{counts}", "more": ""}, "bond_line").slots
    {'bond': 'b1', 'told': '{counts}'}
    """
    code = code or (template.code if isinstance(template, Said) else "")
    if not code:
        return template.format_map(words)
    taken = _Filling(words)
    return Said(template.format_map(taken), code, taken)


def joined(between: str, words: Iterable[str]) -> str:
    """The words with the same between each two.

    >>> joined("; ", [Said("sound", "joint"), "b1"]).made_of
    ('sound', '; ', 'b1')
    """
    several = tuple(words)
    if len(several) < 2:
        return several[0] if several else ""
    return together(*[one for word in several for one in (between, word)][1:])


def together(*words: str) -> str:
    """Words one after the other; a plain text, if none of them was made."""
    whole = "".join(words)
    return Said(whole, made_of=words) if any(isinstance(one, Said) for one in words) else whole


def capital(words: str) -> str:
    """The same, starting with a capital."""
    text = words[:1].upper() + words[1:]
    return Said(text, words.code, words.slots, words.made_of) if isinstance(words, Said) else text
