"""The forms that clauses of a family have, which its sources declare."""

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache

from msgspec import Struct

from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_items, fields, listed, suggestion, text

SECTION = "clauses"
"""The section of a file of sources that has them."""
_NUMBERS: Mapping[str, str] = {
    "{clause}": r"[1-8][0-9]{2}(?:\.[1-9][0-9]*)*",
    "{part}": r"[1-9][0-9]*(?:\.[1-9][0-9]*)*",
    "{entry}": r"[0-9]{3}-[0-9]{2}-[0-9]{2}",
    "{table}": r"[1-9][0-9]?(?:\.[1-9][0-9]?)?",
    "{number}": r"[1-9][0-9]*",
    "{standard}": r"[1-9][0-9]{2,4}(?:-[0-9]+)*",
    "{annex}": r"[A-Z][0-9]*",
}
"""What stands for a number in a form, and how such numbers are written."""
_PLACE = re.compile(r"\{[^{}]*\}|[{}]")
_JOINED = "; "
_TOLD = 6
"""Forms that a refusal lists."""
MOST_KEPT = 64
"""Lists of forms that a process keeps."""


class Forms(Struct, frozen=True):
    """How clauses are written: the first of several, those after it, and those of the shared reference tables; each with its examples."""

    first: tuple[str, ...]
    later: tuple[str, ...]
    references: tuple[str, ...]


def read_forms(node: Node) -> Forms:
    """The forms out of a file of sources."""
    entries = fields(node, "`clauses`", ("first", "references"), ("later",))
    return Forms(*(_forms(entries[key]) if key in entries else () for key in ("first", "later", "references")))


def _forms(node: Node) -> tuple[str, ...]:
    found = []
    for item in as_items(node, "forms of a clause"):
        form = text(item, "a form of a clause")
        for place in _PLACE.finditer(form):
            if place[0] not in _NUMBERS:
                raise refused(item.place, f"{shown(place[0])} stands for no number{suggestion(place[0], _NUMBERS)}")
        found.append(form)
    if not found:
        raise refused(node.place, "name at least one form of a clause, such as `Table {table}`")
    return tuple(found)


def check_clauses(pack: Node) -> None:
    """Refuses a clause that has none of the forms that the pack declares. Raises: UnreadableRules."""
    sections = fields(pack, "a rule pack of format 2", (SECTION,), None)
    forms = read_forms(sections[SECTION])
    for name, node in sections.items():
        first = forms.references if name == "references" else forms.first
        later = (*first, *forms.later) if name == "references" else forms.later + forms.first
        for clause in _clauses(node):
            head, *rest = clause.text.split(_JOINED)
            wrong = [head] if not _fits(head, first) else [one for one in rest if not _fits(one, later)]
            if wrong:
                raise refused(clause.place, f"{shown(wrong[0])} is no clause; one reads {_told(first)}, several are joined by `; `")


def _clauses(node: Node) -> Iterator[Scalar]:
    if isinstance(node, Map):
        for key, entry in node.entries.items():
            if key == "clause" and isinstance(entry, Scalar):
                yield entry
            else:
                yield from _clauses(entry)
    elif isinstance(node, Items):
        for item in node.items:
            yield from _clauses(item)


def _told(forms: tuple[str, ...]) -> str:
    """The forms, or the first of them where they are many."""
    return listed(forms[:_TOLD]) + (" and the like" if len(forms) > _TOLD else "")


def _fits(clause: str, forms: tuple[str, ...]) -> bool:
    return _one_of(forms).fullmatch(clause) is not None


@lru_cache(maxsize=MOST_KEPT)
def _one_of(forms: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(f"(?:{_pattern(form)})" for form in forms))


def _pattern(form: str) -> str:
    return "".join(_NUMBERS.get(part, re.escape(part)) for part in re.split(r"(\{[^{}]*\})", form))
