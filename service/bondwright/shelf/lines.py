"""Lines of rule files while they are put together: each remembers where it is edited, so that comments and places survive."""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from msgspec import Struct

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, read_nodes, refused

_NEXT_SECTION, _ENTRY = re.compile(rb"\n(?=[A-Za-z])"), re.compile(rb"^(?=  [\w-]+:)", re.MULTILINE)


class Line(Struct, frozen=True):
    """A line of text and where it is edited. `moved`: columns it was moved to the right; none where all of it stands for `place`."""

    text: str
    place: Place
    moved: int | None = 0


def file_bytes(path: Path, name: str) -> bytes:
    """What the file holds; `name` is its name in refusals. Raises: UnreadableRules."""
    try:
        return path.read_bytes()
    except OSError:
        raise UnreadableRules(name, 1, 1, "the file cannot be read; is it missing?") from None


def lines_of(data: bytes, file: str) -> tuple[Line, ...]:
    """The lines of a file in UTF-8."""
    return tuple(Line(text, Place(file, number, 1)) for number, text in enumerate(data.decode().splitlines(), start=1))


def bytes_of(lines: Iterable[Line]) -> bytes:
    """The text that the lines make."""
    return "".join(f"{line.text}\n" for line in lines).encode()


def edited_at(lines: Sequence[Line], place: Place) -> Place:
    """Where a place in the text that `lines` make is edited."""
    line = lines[min(place.line, len(lines)) - 1]
    return line.place if line.moved is None else line.place._replace(column=max(place.column - line.moved, 1))


def read_lines(lines: Sequence[Line]) -> Map:
    """The map that the lines hold, its places those of their text. Raises: UnreadableRules, where the faulty line is edited."""
    try:
        return read_nodes(bytes_of(lines), "")
    except UnreadableRules as error:
        raise refused(edited_at(lines, Place("", error.line, error.column)), error.detail) from None


def span(lines: Sequence[Line], start: int, follower: int) -> slice:
    """The lines of what starts on line `start`, counted from 1, when the next thing starts on line `follower`.

    Empty lines, and comments no deeper than the start, belong to what follows.
    """
    depth, end = indent(lines[start - 1].text), follower - 1
    while end > start and _parts(lines[end - 1].text, depth):
        end -= 1
    return slice(start - 1, end)


def _parts(text: str, depth: int) -> bool:
    return not text.strip() or (text.lstrip().startswith("#") and indent(text) <= depth)


def indent(text: str) -> int:
    """Spaces before the first character."""
    return len(text) - len(text.lstrip(" "))


def moved(lines: Iterable[Line], by: int) -> tuple[Line, ...]:
    """The lines moved `by` columns to the right, or to the left as far as each has spaces."""
    out = []
    for line in lines:
        step = max(by, -indent(line.text)) if line.text else 0
        out.append(Line(" " * step + line.text if step > 0 else line.text[-step:], line.place, (line.moved or 0) + step))
    return tuple(out)


def flow(node: Node) -> str:
    """The node as it is written on one line."""
    match node:
        case Scalar(text=text, quoted=True):
            escaped = " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"')
            return f'"{escaped}"'
        case Scalar(text=text):
            return text
        case Items(items=items):
            return f"[{', '.join(flow(item) for item in items)}]"
        case Map(entries=entries):
            return "{" + ", ".join(f"{key}: {flow(value)}" for key, value in entries.items()) + "}"


def plain(node: Node) -> object:
    """What the node says, quotes and places left aside: equal for nodes that say the same."""
    match node:
        case Scalar(text=text):
            return " ".join(text.split())
        case Items(items=items):
            return [plain(item) for item in items]
        case Map(entries=entries):
            return {key: plain(value) for key, value in entries.items()}


def section_lines(text: bytes, file: str, name: str) -> tuple[int, bytes]:
    """The lines of one section of a published file, and how many lines stand before it. Raises: UnreadableRules."""
    key = f"{name}:".encode()
    start = 0 if text.startswith(key) else text.find(b"\n" + key) + 1
    if not start and not text.startswith(key):
        raise UnreadableRules(file, 1, 1, f"a rule pack has the section `{name}`")
    following = _NEXT_SECTION.search(text, start)
    return text.count(b"\n", 0, start), text[start : following.start() if following else len(text)]


def entries_alone(section: bytes) -> tuple[bytes, ...]:
    """The lines of a section, once for each of its entries, with that one alone; as they are, where no entry begins two spaces in.

    >>> entries_alone(b"facts:\\n  metal: {kind: yes_no}\\n  reading:\\n    kind: number\\n")
    (b'facts:\\n  metal: {kind: yes_no}\\n', b'facts:\\n  reading:\\n    kind: number\\n')
    """
    head, *entries = _ENTRY.split(section)
    return tuple(head + entry for entry in entries) or (section,)


def read_section(text: bytes, file: str, name: str) -> Node:
    """One section of a published file, read without the others, each node at its place in the file. Raises: UnreadableRules."""
    start, alone = section_lines(text, file, name)
    return read_nodes(b"\n" * start + alone, file).entries[name]
