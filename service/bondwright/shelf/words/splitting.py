"""A draft split into what its pack decides and what it says: the text of each goes to a language file, its code stays in its place."""

import hashlib
from collections.abc import Iterator, Mapping
from typing import Any

import yaml

from bondwright.errors import UnreadableRules
from bondwright.shelf.declared.declaration import DECLARING, Declaration
from bondwright.shelf.header import read_format
from bondwright.shelf.lines import plain
from bondwright.shelf.reading.nodes import LOADER, read_nodes, refused
from bondwright.shelf.words.filling import SECTION, SIGN, nodes_of
from bondwright.shelf.words.joined import LANGUAGE, MARK
from bondwright.shelf.words.texts import Text, texts_in


def issued(draft: bytes, file: str, read: Declaration) -> bytes:
    """The text that publishing gives to a draft: the pack and behind it its words; of an older format, the draft itself.

    Raises: UnreadableRules.
    """
    root = read_nodes(draft, file)
    if read_format(root.entries["pack"]) < DECLARING:
        return draft
    texts = sorted(texts_in(root, read), key=lambda one: (one.node.place.line, one.node.place.column))
    words = _language_file(texts)
    pack = _with_codes(draft.decode(), texts)
    digest = hashlib.sha256(words).hexdigest()
    whole = f'{pack}# ---- {SECTION}\n{SECTION}: {{{LANGUAGE}: "{digest}"}}\n'.encode() + words
    back = nodes_of(whole, file, read)
    back.entries.pop(SECTION)
    if plain(back) != plain(root):
        raise UnreadableRules(file, 1, 1, "the draft is not the same once its texts are taken out and put back; write texts in quotes")
    return whole


def _language_file(texts: list[Text]) -> bytes:
    lines: dict[str, str] = {}
    for one in texts:
        if one.code in lines:
            raise refused(one.node.place, f"the text `{one.code}` stands twice")
        said = one.node.text.strip().replace("\\", "\\\\").replace('"', '\\"')
        lines[one.code] = f'{one.code}: "{said}"\n'
    return MARK + f"language: {LANGUAGE}\n{''.join(lines.values())}".encode()


def _with_codes(draft: str, texts: list[Text]) -> str:
    """The draft with a code in the place of each text."""
    spans, out, done = _spans(draft), [], 0
    for one in texts:
        start, end = spans[one.node.place.line, one.node.place.column]
        end = start + len(draft[start:end].rstrip())
        out += [draft[done:start], f'"{SIGN}{one.code}"']
        done = end
    return "".join([*out, draft[done:]])


def _spans(text: str) -> Mapping[tuple[int, int], tuple[int, int]]:
    """Where each scalar begins and ends, in characters, by its line and column."""
    events: Iterator[Any] = yaml.parse(text, Loader=LOADER)
    ends: list[tuple[Any, Any]] = [(event.start_mark, event.end_mark) for event in events if isinstance(event, yaml.ScalarEvent)]
    return {(start.line + 1, start.column + 1): (start.index, end.index) for start, end in ends}
