"""Reasons for leniency, and what publishing wrote of the worked cases: the two sections at the end of a pack."""

import re
from collections.abc import Iterable, Mapping
from typing import get_args

from bondwright.rulebook.because import About, Because, KeptCases
from bondwright.rulebook.pack import Source
from bondwright.shelf.reading.nodes import Map, Node, refused, shown
from bondwright.shelf.reading.scalars import HYPHENED, as_items, as_map, as_scalar, day, fields, listed, new_name, number, one_of, text
from bondwright.shelf.reading.values import read_backing

_ABOUT: tuple[About, ...] = get_args(About)
_DIGEST = re.compile(r"[0-9a-f]{64}")


def read_lenient(node: Node, outcomes: Iterable[str], sources: Mapping[str, Source]) -> tuple[Because, ...]:
    """The reasons in file order; none is about the same as another."""
    found: list[Because] = []
    for item in as_items(node, "`lenient`"):
        one = _because(as_map(item, "a reason"), tuple(outcomes), sources)
        if twin := next((other for other in found if (other.about, other.name) == (one.about, one.name)), None):
            raise refused(one.place, f"{one.about} `{one.name}` has its reason already at line {twin.place.line}")
        found.append(one)
    return tuple(found)


def _because(item: Map, outcomes: tuple[str, ...], sources: Mapping[str, Source]) -> Because:
    abouts = [about for about in _ABOUT if about in item.entries]
    if len(abouts) != 1:
        raise refused(item.place, f"a reason is about exactly one of {listed(_ABOUT)}")
    about = abouts[0]
    of_case = ("changed",) if about == "case" else ()
    entries = fields(item, "a reason", ("since", about, *of_case, "because", "clause", "source"), ("seen_on",))
    backing = read_backing(entries["source"], sources)
    return Because(
        since=new_name(entries["since"], "a pack", HYPHENED),
        about=about,
        name=one_of(entries[about], outcomes, "outcome") if about == "outcome" else text(entries[about], f"`{about}`"),
        changed=_pointers(entries["changed"]) if of_case else (),
        says=text(entries["because"], "`because`"),
        clause=text(entries["clause"], "`clause`"),
        source=backing.source,
        kind=backing.kind,
        confidence=backing.confidence,
        place=item.place,
        seen_on=day(entries["seen_on"], "`seen_on`") if "seen_on" in entries else None,
    )


def _pointers(node: Node) -> tuple[str, ...]:
    pointers = tuple(text(one, "a JSON Pointer") for one in as_items(node, "`changed`"))
    if not pointers or not all(pointer.startswith("/") for pointer in pointers):
        raise refused(node.place, "`changed` is a list of JSON Pointers into the case, such as `[/expect/main_bond_size/highest]`")
    return pointers


def read_kept_cases(node: Node) -> KeptCases:
    """What publishing wrote of the cases."""
    entries = fields(node, "`cases`", ("claims", "expectations", "digest"))
    digest = as_scalar(entries["digest"], "`digest`")
    if not _DIGEST.fullmatch(digest.text):
        raise refused(digest.place, f"{shown(digest.text)} is no digest; publishing writes it")
    return KeptCases(int(number(entries["claims"], "`claims`")), int(number(entries["expectations"], "`expectations`")), digest.text)
