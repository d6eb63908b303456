"""An edition while it is put together: its lines and what they hold, with the places where they are edited."""

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct, field

from bondwright.members import replace
from bondwright.rulebook.facts import Place
from bondwright.shelf.drafts.rereading import Edit, edited
from bondwright.shelf.lines import Line, edited_at, span
from bondwright.shelf.reading.nodes import Map, Node, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, as_scalar, fields, text

_ID_LINE = re.compile(r" *- +id: *[^\s#]+ *(?:#.*)?")


class EditionFile(Struct, frozen=True):
    """The file of an edition as it is on disk; its nodes have their places in it."""

    name: str
    lines: tuple[Line, ...]
    root: Map


class Part(Struct, frozen=True):
    """One section of a file, apart from the others; its nodes have their places in its own lines."""

    lines: tuple[Line, ...]
    root: Map


class Edition(Struct, frozen=True):
    """The edition as far as the chain was followed, with the files that editions share behind it.

    `withdrawn`: where each withdrawn rule was withdrawn, by id. `header`: what the last amendment says of its pack, which takes the place
    of the base's at the end. `lenient`: the last file's reasons for leniency; `places`: the files of places that have some.

    Places of nodes count the lines at hand; `at` says where such a place is edited.
    """

    files: tuple[str, ...]
    lines: tuple[Line, ...]
    root: Map
    withdrawn: Mapping[str, Place] = field(default_factory=dict)
    header: Part | None = None
    lenient: Part | None = None
    places: tuple[EditionFile, ...] = ()

    def with_lines(self, where: slice, new: Iterable[Line]) -> "Edition":
        """The edition with the lines `where` replaced."""
        return self.with_edits([(where, tuple(new))])

    def with_edits(self, edits: Iterable[Edit]) -> "Edition":
        """The edition after several edits, the last first."""
        lines, root = edited(self.lines, self.root, edits)
        return replace(self, lines=lines, root=root)

    def at(self, node: Node) -> Place:
        """Where a node of the edition is edited."""
        return edited_at(self.lines, node.place)

    def rule_list(self) -> list[Map]:
        """The rules as they stand."""
        return [as_map(item, "a rule") for item in as_items(self.root.entries["rules"], "`rules`")]

    def rules(self) -> dict[str, Map]:
        """The rules by id."""
        return {as_scalar(node.entries["id"], "`id`").text: node for node in self.rule_list()}

    def rule_span(self, rule: Map) -> slice:
        """The lines of a rule."""
        return span(self.lines, rule.place.line, self._after(rule.place.line, self.rule_list()))

    def entry_span(self, owner: Map, key: str, within: Iterable[Node]) -> slice:
        """The lines of one entry of a map, which starts on a line of its own; `within`: what may follow the whole map."""
        scalar = owner.keys[key]
        line, others = scalar.place.line, [other for other in owner.keys.values() if other is not scalar]
        if self.lines[line - 1].text[: scalar.place.column - 1].strip() or line in (other.place.line for other in others):
            raise refused(self.at(scalar), f"write {shown(key)} on a line of its own, so that an amendment can change it")
        return span(self.lines, line, self._after(line, (*others, *within)))

    def _after(self, line: int, starts: Iterable[Node]) -> int:
        ends = [node.place.line for node in (*starts, *self.root.keys.values()) if node.place.line > line]
        return min(ends, default=len(self.lines) + 1)


def check_rule(rule: Node, lines: tuple[Line, ...]) -> None:
    """Refuses a rule that cannot be spliced, or that brings the line that publishing writes."""
    entries, keys = fields(rule, "a rule", ("id",), None), as_map(rule, "a rule").keys
    if "from" in entries:
        raise refused(keys["from"].place, "`from` is written by publishing; leave it out")
    if not _ID_LINE.fullmatch(lines[keys["id"].place.line - 1].text):
        name = shown(text(entries["id"], "`id`"))
        raise refused(keys["id"].place, f"write rule {name} as a block that starts with the line `- id: …`")
