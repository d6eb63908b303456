"""The text of an amendment's file: a change put below the last one, written anew, or taken out with the comments above it."""

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from bondwright.cli.rules.choosing import WrongCall
from bondwright.cli.rules.setting.cell import Cell
from bondwright.shelf.lines import flow, indent, lines_of, plain, span
from bondwright.shelf.reading.nodes import Items, Map, Node, read_nodes
from bondwright.shelf.reading.scalars import as_map

_SAYS = ("was", "now", "clause", "source")


class OwnChange(Struct, frozen=True):
    """A change that the file makes: its lines, with the comments right above it, and its entries."""

    where: slice
    entries: Mapping[str, Node]


def cell_changed(text: str, cell: Cell) -> OwnChange | None:
    """The change that sets this cell; None where the file makes none."""
    named = {word: plain(node) for word, node in cell.named.items()}
    for change in _changes(text):
        own = change.entries.get(cell.verb)
        if isinstance(own, Map) and {word: plain(node) for word, node in own.entries.items() if word not in _SAYS} == named:
            return OwnChange(change.where, own.entries)
    return None


def example_changed(text: str, rule_id: str, example: Mapping[str, Node]) -> OwnChange | None:
    """The change that gives the rule this example, its entries `was` and `now`; None where the file makes none."""
    for change in _changes(text):
        named = change.entries.get("change")
        if not isinstance(named, Map) or plain(named) != {"example": rule_id}:
            continue
        made = as_map(change.entries["was"], "`was`").entries | as_map(change.entries["now"], "`now`").entries
        if _said(made) == _said(example):
            return change
    return None


def with_change(text: str, change: Sequence[str]) -> str:
    """The text of an amendment with the change below the last one. Raises: WrongCall."""
    lines = text.splitlines()
    head = next((number for number, line in enumerate(lines) if re.fullmatch(r"changes: *(\[ *\])? *(#.*)?", line)), None)
    if head is None:
        raise WrongCall("write `changes:` on a line of its own, and the changes as a list below it; nothing was written")
    lines[head] = re.sub(r" *\[ *\]", "", lines[head])
    end = next((number for number in range(head + 1, len(lines)) if re.match("[a-z]", lines[number])), len(lines))
    own = [number for number in range(head + 1, end) if lines[number].strip() and not lines[number].lstrip().startswith("#")]
    margin = re.match(" *", lines[own[0]]).group() if own else "  "  # type: ignore[union-attr]
    after = own[-1] + 1 if own else head + 1
    return "\n".join([*lines[:after], *(margin + line for line in change), *lines[after:], ""])


def without_change(text: str, change: OwnChange) -> str:
    """The text of an amendment without the change; `changes: []` where it was the only one."""
    lines = text.splitlines()
    only = len(list(_changes(text))) == 1
    lines[change.where] = []
    if only:
        lines = [re.sub(r"^changes:", "changes: []", line) for line in lines]
    return "\n".join([*lines, ""])


def same_example(was: Mapping[str, Node], now: Mapping[str, Node]) -> bool:
    """Whether both say the same."""
    return _said(was) == _said(now)


def example_lines(rule_id: str, was: Mapping[str, Node], now: Mapping[str, Node]) -> list[str]:
    """The change of an example of which only the expectation is another."""
    return [
        f"- change: {{example: {rule_id}}}",
        f"  was: {{given: {flow(was['given'])}, expect: {flow(was['expect'])}}}",
        f"  now: {{expect: {flow(now['expect'])}}}",
    ]


def _said(example: Mapping[str, Node]) -> object:
    return {key: plain(node) for key, node in example.items()}


def _changes(text: str) -> Iterator[OwnChange]:
    data = text.encode()
    root, lines = read_nodes(data, "amendment"), lines_of(data, "amendment")
    items = root.entries["changes"]
    ends = [key.place.line for key in root.keys.values()]
    starts = [item.place.line for item in items.items] if isinstance(items, Items) else []
    for number, start in enumerate(starts):
        follower = min((line for line in (*starts[number + 1 :], *ends) if line > start), default=len(lines) + 1)
        where = span(lines, start, follower)
        above = where.start
        while lines[above - 1].text.lstrip().startswith("#") and indent(lines[above - 1].text) == indent(lines[where.start].text):
            above -= 1
        item = items.items[number] if isinstance(items, Items) else root
        yield OwnChange(slice(above, where.stop), as_map(item, "a change").entries)
