"""A location where nothing may be joined, or not yet, stays so with any one fact withheld; and where to stop, nothing is cleared."""

import copy
from collections import Counter
from collections.abc import Iterator
from typing import Any, TypeAlias

import orjson
from tests.core.cases import cases, published_pack
from tests.described import terms

from bondwright.compose.answer import Evaluation, RoomAnswer
from bondwright.conclude.concluding import plainly
from bondwright.errors import BondwrightError
from bondwright.evaluate.order import evaluate
from bondwright.installation.reading import read_installation
from bondwright.rulebook.memory import Kept

Path: TypeAlias = tuple[str | int, ...]
MOST_ALIKE = 1
"""So many claims at most are looked at in which a kind of location has one act."""
HELD = {"stop": ("do", "leave"), "do_not_connect": ("do", "leave"), "settle_first": ("do",)}
"""By mark, what it must not become: before somebody is asked, the answer may well be that nothing is to be done."""
THINGS = ("id", "kind", "count", "service", "length", "services", "items")
"""What names a thing, and things themselves: to leave one out describes another place, and withholds no fact of this one."""
STILL_FORBIDS = ("kept out of use until then", "Take no hand-held equipment")
"""What an act for a duty that is certain says besides, where it is not known whether more is at stake."""
MEMORY = Kept()


def judged(described: Any) -> Evaluation | None:
    """The evaluation by the newest pack; none of what is refused."""
    try:
        return evaluate(read_installation(orjson.dumps(described), terms()), published_pack(), plainly(published_pack()), MEMORY)
    except BondwrightError:
        return None


def facts(told: Any, path: Path = ()) -> Iterator[Path]:
    """The place of every fact."""
    if isinstance(told, dict):
        for key, value in told.items():
            if key not in THINGS:
                yield (*path, key)
            yield from facts(value, (*path, key))
    elif isinstance(told, list):
        for number, value in enumerate(told):
            yield from facts(value, (*path, number))


def without(described: Any, path: Path) -> Any:
    """The description with one fact less."""
    less = copy.deepcopy(described)
    inner = less
    for step in path[:-1]:
        inner = inner[step]
    del inner[path[-1]]
    return less


def withheld(described: Any) -> Iterator[tuple[Path, Evaluation]]:
    """Each fact of what bears on locations, with the answer without it."""
    for section in ("supply", "earthings", "locations"):
        for path in facts(described.get(section), (section,)):
            if (found := judged(without(described, path))) is not None:
                yield path, found


def milder(full: RoomAnswer, less: RoomAnswer) -> bool:
    """Whether a line with less known has something done, or clears, that was held, and says no more."""
    return less.mark in HELD[full.mark] and not any(words in less.line for words in STILL_FORBIDS)


def test_what_is_held_at_a_place_is_held_with_any_one_fact_withheld() -> None:
    met, compared, found = Counter[tuple[str, str]](), Counter[str](), list[tuple[str, Path, str, str]]()

    for claim in (claim for case in cases() for _, claim in case.claims if claim.installation.get("locations")):
        full = judged(claim.installation)
        held = {} if full is None else {number: room for number, room in enumerate(full.rooms) if room.mark in HELD}
        known = {(claim.installation["locations"][number]["kind"], room.act) for number, room in held.items()}
        if not known or all(met[one] >= MOST_ALIKE for one in known):
            continue
        met.update(known)
        for path, less in withheld(claim.installation):
            compared.update(room.mark for room in held.values())
            found += [(claim.says, path, room.act, less.rooms[at].act) for at, room in held.items() if milder(room, less.rooms[at])]

    assert found == []
    assert len(met) > 60 and min(compared[mark] for mark in HELD) > 20
