"""Rows of acts of places are refused just where going through all that a place can come to, one by one, finds none that fits."""

import re
from collections.abc import Iterator, Mapping
from itertools import product

import pytest
from tests.rules.revisions import newest_published

from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.rulebook.declared.acts import Advice
from bondwright.rulebook.declared.places import PlaceDeclared, Places, RoomRow
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.places.reach import check_rows

PACK = newest_published("bs7671-2018-a4")
TABLE = Place("table", 1, 1)
_EVERY = 6
"""Of so many rows or acts one is taken out or changed: all of them take half a minute."""


def outcomes_of(place: PlaceDeclared, inspected: bool) -> list[tuple[str, bool]]:
    """Each outcome that is shown of a place, and whether it always is."""
    duties = [duty for duty in place.duties if duty.inspected or not inspected]
    sure = {duty.outcome for duty in duties if not duty.where}
    return [(name, name in sure) for name in [*(duty.outcome for duty in duties), *(duty.found for duty in place.duties if duty.found)]]


def come_to(place: PlaceDeclared, pack: RulePack) -> Iterator[Mapping[str, str]]:
    """All that a place can come to: the level of each outcome, empty of one that is not shown."""
    for inspected in (False, True):
        shown = outcomes_of(place, inspected)
        for levels in product(*((*pack.outcomes[name].levels, *([] if sure else [""])) for name, sure in shown)):
            yield dict(zip((name for name, _ in shown), levels, strict=True))


def first_refused(place: PlaceDeclared, rows: tuple[RoomRow, ...], advice: Mapping[str, Advice], pack: RulePack) -> Place | None:
    """Where rows are refused for that place alone; nowhere, where they do for all that it can come to."""
    lacking = {word for word, has in (("reading", bool(place.limit)), ("once", place.freed is not None)) if not has}
    for levels in come_to(place, pack):
        leads = next(name for name, level in levels.items() if level)
        for row in rows:
            if leads in row.levels and all(levels.get(name) in fitting for name, fitting in row.levels.items()):
                if lacking & set(re.findall(r"\{(\w+)\}", " ".join((advice[row.act].line, *advice[row.act].tests)))):
                    return row.place
                if not row.firm and not row.once:
                    break
        else:
            return TABLE
    return None


def refused(place: str, rows: tuple[RoomRow, ...], advice: Mapping[str, Advice], pack: RulePack) -> Place | None:
    """Where they are refused as a pack is read."""
    alone = Places(kinds={place: pack.places.kinds[place]}, rows=rows)
    try:
        check_rows(alone, pack.outcomes, advice, TABLE)
    except UnreadableRules as error:
        return Place(error.file, error.line, error.column)
    return None


@pytest.mark.parametrize("name", PACK.places.kinds)
def test_a_row_is_missed_just_where_something_that_the_place_comes_to_is_left_without_one(name: str) -> None:
    place, rows = PACK.places.kinds[name], PACK.places.rows
    about = [row for row in rows if any(outcome in row.levels for outcome, _ in outcomes_of(place, False))]
    without = [tuple(other for other in rows if other is not row) for row in about[::_EVERY]]
    without += [rows[: rows.index(row)] for row in about[::_EVERY]]

    found = [refused(name, some, PACK.advice, PACK) for some in (rows, *without)]

    assert found == [first_refused(place, some, PACK.advice, PACK) for some in (rows, *without)]
    assert found[0] is None and TABLE in found, "no row was missed"


@pytest.mark.parametrize("name", PACK.places.kinds)
def test_words_that_a_place_cannot_fill_are_refused_just_where_it_comes_to_them(name: str) -> None:
    place, rows = PACK.places.kinds[name], PACK.places.rows
    acts = sorted({row.act for row in rows if any(outcome in row.levels for outcome, _ in outcomes_of(place, False))})
    changed = [{**PACK.advice, act: replace(PACK.advice[act], line="{location}: {reading}, {once}")} for act in acts[::_EVERY]]

    found = [refused(name, rows, advice, PACK) for advice in changed]

    assert found == [first_refused(place, rows, advice, PACK) for advice in changed]
    assert any(found) or (place.limit and place.freed), "no act was refused"
