"""A language file: every text of a pack by its code."""

import hashlib
import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.errors import UnreadableRules
from bondwright.shelf.reading.nodes import Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import fields, listed, suggestion, text

_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]+)*")
_HEAD = "language"
_SLOT = re.compile(r"\{([^{}]*)\}|[{}]")


class Language(Struct, frozen=True):
    """The texts of a language file. `digest`: SHA-256 of its bytes in hex; `keys`: the codes, as they stand there."""

    name: str
    file: str
    digest: str
    texts: Mapping[str, Scalar]
    keys: Mapping[str, Scalar]


def read_language(data: bytes, file: str) -> Language:
    """The texts that the file holds. Raises: UnreadableRules, also where a code stands twice or a text is not one line."""
    root = read_nodes(data, file)
    entries = fields(root, "a language file", (_HEAD,), None)
    name = text(entries[_HEAD], f"`{_HEAD}`")
    if not _LANGUAGE.fullmatch(name):
        raise refused(entries[_HEAD].place, f"{shown(name)} is no language; write its short name, such as `en`")
    texts = {}
    for code, node in entries.items():
        if code != _HEAD:
            line = text(node, f"text `{code}`")
            texts[code] = Scalar(line, True, node.place)
    keys = {code: root.keys[code] for code in texts}
    return Language(name, file, hashlib.sha256(data).hexdigest(), texts, keys)


def slots(line: str) -> tuple[str, ...]:
    """What stands in braces, each once, in order; a brace that belongs to no pair stands for itself.

    >>> slots("{size} for now; up to {most} is possible, {size} at least")
    ('size', 'most')
    """
    return tuple(dict.fromkeys(found[0] if found[1] is None else found[1] for found in _SLOT.finditer(line)))


def check_slots(language: Language, english: Language) -> None:
    """Refuses a text that forgets a slot that English has, or has one that English has not. Raises: UnreadableRules."""
    for code, node in language.texts.items():
        if code in english.texts and (fault := _wrong(slots(node.text), slots(english.texts[code].text), "English")):
            raise refused(node.place, f"`{code}` {fault}")


def check_filled(code: str, node: Scalar, filled: tuple[str, ...]) -> None:
    """Refuses a sentence that has not the slots that code fills, all of them and no other. Raises: UnreadableRules."""
    if fault := _wrong(slots(node.text), filled, "code"):
        raise refused(node.place, f"sentence `{code}` {fault}")


def _wrong(found: tuple[str, ...], wanted: tuple[str, ...], whose: str) -> str:
    for name in found:
        if name not in wanted:
            has = f"; {whose} has {listed(f'{{{slot}}}' for slot in wanted)}" if wanted else ""
            return f"has `{{{name}}}`, which {whose} has not{suggestion(name, wanted) if len(wanted) > 8 else has}"
    for name in wanted:
        if name not in found:
            return f"lacks the slot `{{{name}}}`, which {whose} has"
    return ""


def unread(language: Language, used: Iterator[str]) -> None:
    """Refuses a text that no pack says. Raises: UnreadableRules."""
    known = set(used)
    for code, key in language.keys.items():
        if code not in known:
            left = (one for one in known if one not in language.texts)
            raise refused(key.place, f"the pack says no text {shown(code)}{suggestion(code, left)}")


def missing(language: Language, code: str) -> UnreadableRules:
    """The error to raise for a text that the file lacks."""
    return UnreadableRules(language.file, 1, 1, f"the file lacks the text `{code}`, which the pack says")
