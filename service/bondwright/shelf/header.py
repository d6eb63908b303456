"""What a pack says of itself: its id, title and standard, and when it may be used."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from bondwright.shelf.reading.nodes import Node, Scalar, refused
from bondwright.shelf.reading.scalars import HYPHENED, day, fields, new_name, text, yes_or_no


def read_head(section: Node) -> dict[str, Any]:
    """What a pack says of itself, as PackHead names it; all but the digest."""
    header = fields(section, "`pack`", ("id", "title", "standard", "usable", "review_by"), ("note", "on_request"))
    usable_from, usable_to = _usable(header["usable"])
    return {
        "pack_id": new_name(header["id"], "a pack", HYPHENED),
        "title": _line(header, "title"),
        "standard": _line(header, "standard"),
        "usable_from": usable_from,
        "usable_to": usable_to,
        "review_by": day(header["review_by"], "`review_by`"),
        "note": _line(header, "note") if "note" in header else "",
        "on_request": "on_request" in header and yes_or_no(header["on_request"], "`on_request`"),
    }


def _line(entries: Mapping[str, Node], key: str) -> str:
    return text(entries[key], f"`{key}`")


def _usable(node: Node) -> tuple[date, date | None]:
    entries = fields(node, "`usable`", ("from", "to"))
    first, end = day(entries["from"], "`from`"), entries["to"]
    if isinstance(end, Scalar) and end.text == "open":
        return first, None
    last = day(end, "`to` (or `open`)")
    if last < first:
        raise refused(end.place, f"`to` {last} is before `from` {first}")
    return first, last
