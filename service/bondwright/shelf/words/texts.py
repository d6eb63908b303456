"""Where the texts of an answer stand in a pack, and the code of each."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bondwright.shelf.declared.declaration import Declaration
from bondwright.shelf.declared.tables import TEXTS
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar

_ANY = "*"
_NO_SENTENCES = ("source", "basis", "confidence")
"""Columns of text that name something."""


class Text(Struct, frozen=True):
    """A text of a pack: its code, and what it is an entry of, under a key or at a position."""

    code: str
    within: Map | Items
    at: str | int
    node: Scalar

    def put(self, node: Scalar) -> None:
        """Put another in its place."""
        if isinstance(self.within, Map):
            self.within.entries[str(self.at)] = node
        else:
            self.within.items[int(self.at)] = node


def texts_in(root: Map, read: Declaration) -> Iterator[Text]:
    """Every text of the pack, those of one kind in the order written."""
    for place, code in read.texts.items():
        for names, text in _under(root, place.split("/"), (root, "")):
            yield Text(_filled(code, names), *text)
    for table, column in sorted(wording(read)):
        for names, text in _under(root, ("properties", table, _ANY, column), (root, "")):
            yield Text(f"row.{table}.{names[0]}.{column}", *text)


def wording(read: Declaration) -> frozenset[tuple[str, str]]:
    """The columns of tables of properties that hold texts of an answer, each with its table."""
    columns = ((table, name, column) for table, declared in read.properties.items() for name, column in declared.columns.items())
    return frozenset((table, name) for table, name, column in columns if column.names in TEXTS and name not in _NO_SENTENCES)


def _under(
    node: Node, steps: Sequence[str], held: tuple[Map | Items, str | int]
) -> Iterator[tuple[tuple[str, ...], tuple[Map | Items, str | int, Scalar]]]:
    """The scalars at the end of the steps, each with what stands for the stars on its way, and what it is an entry of."""
    if not steps:
        if isinstance(node, Scalar):
            yield (), (*held, node)
        return
    if isinstance(node, Map) and steps[0] != _ANY:
        if steps[0] in node.entries:
            yield from _under(node.entries[steps[0]], steps[1:], (node, steps[0]))
        return
    for name, at, child in _children(node):
        if steps[0] in (_ANY, name):
            assert not isinstance(node, Scalar)
            for names, found in _under(child, steps[1:], (node, at)):
                yield ((name, *names) if steps[0] == _ANY else names), found


def _children(node: Node) -> Iterator[tuple[str, str | int, Node]]:
    match node:
        case Map(entries=entries):
            yield from ((name, name, child) for name, child in entries.items())
        case Items(items=items):
            yield from ((_named(child, number), number, child) for number, child in enumerate(items))
        case Scalar():
            return


def _named(node: Node, number: int) -> str:
    own = node.entries.get("id") if isinstance(node, Map) else None
    return own.text if isinstance(own, Scalar) else str(number + 1)


def _filled(code: str, names: Sequence[str]) -> str:
    """The code with a name in place of each star.

    >>> _filled("act.*.tests.*", ("bond", "1"))
    'act.bond.tests.1'
    """
    for name in names:
        code = code.replace(_ANY, name, 1)
    return code
