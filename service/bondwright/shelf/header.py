"""What a pack says of itself: its id, title and standard, and when it may be used."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from bondwright.shelf.declared.declaration import BOUNDED, DECLARING, FIRST, STRICT
from bondwright.shelf.reading.nodes import Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import HYPHENED, as_map, day, fields, new_name, one_of, text, texts, yes_or_no

PACK_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+-r[1-9][0-9]*")
"""Family, edition and revision of a pack."""


def read_head(section: Node) -> dict[str, Any]:
    """What a pack says of itself, as PackHead names it; all but the digest."""
    header = fields(section, "`pack`", ("id", "title", "standard", "usable", "review_by"), ("note", "on_request", "format", "beside"))
    usable_from, usable_to = _usable(header["usable"])
    review_by = day(header["review_by"], "`review_by`")
    if review_by <= usable_from:
        raise refused(header["review_by"].place, f"`review_by` {review_by} is not after `from` {usable_from}")
    return {
        "pack_id": _pack_id(header["id"]),
        "title": _line(header, "title"),
        "standard": _line(header, "standard"),
        "usable_from": usable_from,
        "usable_to": usable_to,
        "review_by": review_by,
        "note": _line(header, "note") if "note" in header else "",
        "on_request": "on_request" in header and yes_or_no(header["on_request"], "`on_request`"),
    }


def read_format(section: Node) -> int:
    """The format of a pack: the first where its head does not say."""
    entries = as_map(section, "`pack`").entries
    if "format" not in entries:
        return FIRST
    known = (str(STRICT), str(BOUNDED), str(DECLARING))
    return int(one_of(entries["format"], known, "format of a pack; leave it out, or write the newest"))


def read_beside(section: Node) -> tuple[str, ...]:
    """Editions of the family whose time of use may overlap that of this one, such as `bs7671/2018-a3`."""
    entries = as_map(section, "`pack`").entries
    return texts(entries["beside"], "`beside`") if "beside" in entries else ()


def _pack_id(node: Node) -> str:
    name = new_name(node, "a pack", HYPHENED)
    if not PACK_ID.fullmatch(name):
        raise refused(
            node.place, f"{shown(name)} cannot be the name of a pack; write family, edition and revision, such as `bs7671-2018-a4-r11`"
        )
    return name


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
