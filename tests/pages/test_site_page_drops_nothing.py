"""Nothing of the answer is lost on the page, and nothing is said more leniently than in it; from it every reason is one call away."""

import json
import re
from collections.abc import Iterator
from contextlib import closing
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from tests.longer.described import worked
from tests.pages.installations import twenty
from tests.pages.measured import made
from tests.rules.revisions import newest_published

from bondwright.assembly import build
from bondwright.assembly.judging import Evaluated
from bondwright.compose.answer import Evaluation, Verdict
from bondwright.conclude.reasons import Reason
from bondwright.errors import Refused
from bondwright.report.page.shape import Page
from bondwright.report.page.told import FEEDER
from bondwright.report.page.why import names_known, why_text
from bondwright.report.page.written import page_text
from bondwright.report.text import cited
from bondwright.settings import Settings

LEFT = {"kept", "covered", "free"}
"""Sections of what stays as it is."""


class Paged:
    """What was evaluated, with its page and all that is behind it, each made once for all tests."""

    def __init__(self, evaluated: Evaluated) -> None:
        self.evaluation, self.installation, self.pack = evaluated.evaluation, evaluated.installation, evaluated.pack
        self._evaluated = evaluated

    @cached_property
    def page(self) -> Page:
        """The page."""
        return made(self._evaluated)

    @cached_property
    def told(self) -> str:
        """Its text on one line."""
        return flat(page_text(self.page))

    @cached_property
    def behind(self) -> str:
        """All that is told of whatever can be asked for, on one line."""
        known = names_known(self.evaluation, self.installation, self.pack)
        return flat(" ".join(why_text(self.evaluation, self.installation, self.pack, asked) or "" for asked in known))


@pytest.fixture(scope="module")
def evaluated() -> Iterator[dict[str, Paged]]:
    """The worked cases and their near misses, and the twenty installations, by name."""
    with TemporaryDirectory() as folder, closing(build(Settings(Path(folder)))) as service:
        found = {}
        for name, raw in {**worked(), **twenty()}.items():
            try:
                found[name] = Paged(service.evaluate(raw))
            except Refused:
                continue
        yield found


def ids(evaluation: Evaluation) -> set[str]:
    """Everything that has an act."""
    feeder = {FEEDER} if evaluation.feeder else set()
    feeder |= {earthing.earthing for earthing in evaluation.earthings}
    return {part.part for part in evaluation.parts} | {room.location for room in evaluation.rooms} | feeder


def flat(text: str) -> str:
    return " ".join(text.split())


def reasons(evaluation: Evaluation) -> Iterator[Reason]:
    """Every reason of an answer."""
    yield from (reason for size in (evaluation.main_bond_size, evaluation.earthing_conductor_size) for reason in size.because)
    for verdict in verdicts(evaluation):
        yield from verdict.because
    for room in evaluation.rooms:
        sizes = [*(link.least_size for link in room.links), *([room.resistance_limit] if room.resistance_limit else [])]
        yield from (reason for size in sizes for reason in size.because)


def verdicts(evaluation: Evaluation) -> Iterator[Verdict]:
    """Every verdict of an answer."""
    for part in evaluation.parts:
        yield from (*part.verdicts, *part.findings, *([part.test_to_make] if part.test_to_make else []))
        yield from (verdict for bond in part.bonds for verdict in bond.verdicts)
        yield from (reading.verdict for reading in part.readings)
    for room in evaluation.rooms:
        yield from (*room.verdicts, *room.findings, *(part.verdict for part in room.parts))
    for earthing in evaluation.earthings:
        yield from (*earthing.verdicts, *earthing.findings)
    if evaluation.feeder:
        yield evaluation.feeder.verdict


def test_every_part_location_and_circuit_stands_in_one_section_of_what_to_do_with_it(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        page = one.page
        entries = [entry for section in ("do", "found", "not_covered", *sorted(LEFT)) for entry in page.section(section)]
        placed = [about for entry in entries for about in entry.about]
        wanted = ids(one.evaluation)

        assert wanted - set(placed) == set(), name
        assert sorted(about for about in placed if about in wanted) == sorted(wanted), name


def test_the_section_is_no_more_lenient_than_the_mark(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        page, told = one.page, one.evaluation
        left = {part.part for part in told.parts if part.mark == "leave"} | {room.location for room in told.rooms if room.mark == "leave"}
        left |= {earthing.earthing for earthing in told.earthings if earthing.mark == "leave"}
        left |= {FEEDER} if told.feeder and told.feeder.mark == "leave" else set()

        assert {about for section in LEFT for entry in page.section(section) for about in entry.about} - left == set(), name


def test_what_needs_no_bond_is_what_no_missing_fact_can_change(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        free = {about for entry in one.page.section("free") for about in entry.about}
        duty = one.pack.roles.duty
        worst = {part.part: verdict.worst_case for part in one.evaluation.parts for verdict in part.verdicts if verdict.outcome == duty}

        assert {worst[part] for part in free & worst.keys()} <= {one.pack.outcomes[duty].levels[0]}, name


KEPT_TOLD = {"id", "kind", "count", "service", "length"}
"""What names a thing, and is no fact of it."""


def without_each(told: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The place of each fact of services, items and locations in a description."""
    if isinstance(told, dict):
        for key, value in told.items():
            if path and key not in KEPT_TOLD:
                yield (*path, key)
            if path or key in ("services", "detailed_services", "items", "locations"):
                yield from without_each(value, (*path, key))
    elif isinstance(told, list):
        for number, value in enumerate(told):
            yield from without_each(value, (*path, number))


def withheld(raw: bytes, path: tuple[str | int, ...]) -> bytes:
    """The description without one fact."""
    told = json.loads(raw)
    inner: Any = told
    for step in path[:-1]:
        inner = inner[step]
    if isinstance(path[-1], str):
        inner.pop(path[-1], None)
    return json.dumps(told).encode()


def still_forbids(text: str, before: Page) -> bool:
    """Whether a line of what needs no bond adds none to what was not to be connected: no more is known, and no bond comes on or off."""
    told = re.fullmatch(r"Add no bond to (.+), and take nothing off it: a protective conductor that it has stays\..*", flat(text))
    forbidden = ("Do not connect", "Make no new connection to")
    return told is not None and any(f"{words} {told[1]} (" in flat(page_text(before)) for words in forbidden)


def test_withholding_a_fact_moves_nothing_that_is_to_be_done_to_what_needs_no_bond(evaluated: dict[str, Paged], tmp_path: Path) -> None:
    compared = 0
    with closing(build(Settings(tmp_path))) as service:
        for name, raw in [*worked().items()][::37]:
            if name not in evaluated:
                continue
            before = evaluated[name].page
            to_do = {about for section in ("do", "found", "not_covered") for entry in before.section(section) for about in entry.about}
            for path in without_each(json.loads(raw)):
                try:
                    after = made(service.evaluate(withheld(raw, path)))
                except Refused:
                    continue
                compared += 1
                moved = [entry.text for entry in after.section("free") if to_do & set(entry.about)]
                assert [text for text in moved if not still_forbids(text, before)] == [], (name, path)

    assert compared > 100


def test_every_code_is_on_the_page_with_its_wording(evaluated: dict[str, Paged]) -> None:
    counted = 0
    for name, one in evaluated.items():
        told = one.told
        found = [part.observation for part in one.evaluation.parts] + [room.observation for room in one.evaluation.rooms]
        found += [bond.observation for part in one.evaluation.parts for bond in part.bonds]
        for observation in filter(None, found):
            counted += 1
            assert f"{observation.code} " in told, name
            assert flat(observation.words) in told, name
    assert counted > 100


def test_every_line_of_what_is_to_be_done_is_on_the_page(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        told = one.told
        for part in one.evaluation.parts:
            before, _, after = part.line.partition(part.name)
            if part.mark not in ("leave", "not_judged") and after:
                ending = flat(after).split(" Until then ")[0]
                assert flat(before) in told and ending in told, (name, part.line)


def test_each_connection_to_make_in_a_location_is_on_the_page_with_its_least_size_or_none_is(evaluated: dict[str, Paged]) -> None:
    counted = 0
    for name, one in evaluated.items():
        told = one.told
        links = [link for room in one.evaluation.rooms if room.mark == "do" for link in room.links]
        if not any(flat(link.joins) in told for link in links):  # the page would be too long
            continue
        for link in links:
            counted += 1
            least = f"{link.least_size.highest:g} mm²" if link.least_size.firm else ""
            assert flat(link.joins) in told and f": at least {least}" in told, name

    assert counted > 20


def test_no_connection_is_on_the_page_of_a_location_where_something_has_to_be_known_first(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        told = [text for section in one.page.sections for entry in section.entries for text in entry.joins]
        to_make = [room for room in one.evaluation.rooms if room.mark == "do" and room.links]

        assert to_make or not told, name


def test_what_is_not_judged_is_on_the_page_by_name_with_what_governs_it(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        told = one.told
        for thing in one.evaluation.not_judged:
            assert flat(thing.governed_by) in told and flat(thing.ask) in told, name


def test_from_the_page_every_reason_is_one_call_away(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        wanted = {flat(cited(reason, one.pack.say)) for reason in reasons(one.evaluation)}
        assert {reason for reason in wanted if reason not in one.behind} == set(), name


def test_from_the_page_every_question_and_silent_rule_is_one_call_away(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        told = list(verdicts(one.evaluation))

        asked = {question.ask for verdict in told for question in (*verdict.questions, *verdict.could_relax)}
        assert {ask for ask in asked if flat(ask) not in one.behind} == set(), name
        assert {silent.rule for verdict in told for silent in verdict.did_not_act if f"rule {silent.rule}]" not in one.behind} == set(), (
            name
        )


def test_every_name_that_the_page_uses_of_what_it_decides_on_can_be_asked_about(evaluated: dict[str, Paged]) -> None:
    for name, one in evaluated.items():
        missing = [asked for asked in ids(one.evaluation) if why_text(one.evaluation, one.installation, one.pack, asked) is None]

        assert missing == [], name


def test_a_name_that_nothing_has_gives_nothing(evaluated: dict[str, Paged]) -> None:
    one = next(iter(evaluated.values()))

    assert why_text(one.evaluation, one.installation, one.pack, "no such thing") is None


def test_the_newest_pack_of_each_family_is_among_them(evaluated: dict[str, Paged]) -> None:
    used = {one.pack.pack_id for one in evaluated.values()}

    assert {newest_published("bs7671-2018-a4").pack_id, newest_published("iec60364-2017").pack_id} <= used
