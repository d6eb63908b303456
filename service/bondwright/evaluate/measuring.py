"""Readings that were taken, each judged by itself, and what to look at or measure next on each part."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.errors import Contradiction, Fault
from bondwright.evaluate.answer import ReadingAnswer, Verdict
from bondwright.evaluate.bonds import CONNECTION, JudgedBond
from bondwright.evaluate.parts import Part
from bondwright.evaluate.readings import reading_facts
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.evaluate.reasoning.verdicts import verdict
from bondwright.installation.proof import Measurement
from bondwright.metalwork.lengths import Found
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

READING = "reading"
TEST = "test"
FOUND = "reading_found"
_SPEAKS_AGAINST = "speaks_against_its_bond"
_REPORT = "reading_report"
_TO_MAKE = "test_to_make"
_RESULTS = ("fails", "passes", "proves_nothing")
"""What readings come to, the word that says most first; any other level proves nothing of the metal."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured on one part, and what is to be looked at or measured next; nothing where the pack does not say.

    `reports`: what an inspection reports of the readings themselves.
    """

    readings: tuple[ReadingAnswer, ...] = ()
    to_make: Verdict | None = None
    reports: tuple[Verdict, ...] = ()


def measured(parts: Sequence[Part], pack: RulePack, acting: Acting) -> Mapping[str, Measured]:
    """The readings and the next test of each part, by the part's name."""
    if FOUND not in pack.outcomes:
        return {part.subject.name: Measured() for part in parts}
    taken = [(part, found, found.what) for part in parts for length in part.lengths for found in length.measurements]
    rows = [_reading(part.subject, found, what, pack) for part, found, what in taken if isinstance(what, Measurement)]
    readings: dict[str, list[Subject]] = {part.subject.name: [] for part in parts}
    for (part, _, _), judged in zip(taken, run_stages(pack, READING, rows, acting), strict=True):
        readings[part.subject.name].append(judged)
    tests = run_stages(pack, TEST, [_test(part.subject, readings[part.subject.name], pack) for part in parts], acting)
    return {
        test.name: Measured(
            tuple(_answer(one, pack) for one in readings[test.name]), verdict(test, _TO_MAKE, pack), _reports(readings[test.name], pack)
        )
        for test in tests
    }


def refuse_contradicted(
    parts: Sequence[Part], bonds: Mapping[str, tuple[JudgedBond, ...]], tests: Mapping[str, Measured], pack: RulePack
) -> None:
    """Pass, unless a reading surely speaks against a bond that surely connects. Packs without that level know no such reading.

    Raises: Contradiction, with the place of each such reading.
    """
    if FOUND not in pack.outcomes or _SPEAKS_AGAINST not in pack.outcomes[FOUND].levels:
        return
    way_out = "the bond was measured good, and its metal reads high with it on; measure both again, and leave the wrong reading out"
    faults = tuple(
        Fault(f"{reading.pointer}/reading", way_out)
        for part in parts
        if any(bond.subject.levels[CONNECTION].worst_case == 0 for bond in bonds[part.subject.name])
        for reading in tests[part.subject.name].readings
        if reading.verdict.firm and reading.verdict.worst_case == _SPEAKS_AGAINST
    )
    if faults:
        raise Contradiction(faults)


def _reading(part: Subject, found: Found, what: Measurement, pack: RulePack) -> Subject:
    shared = ("isolation_limit", "isolation_limit_at_rcd_current", "carries_water", "touches_soil_or_concrete")
    facts: dict[str, FactValue] = {**{name: part.facts[name] for name in shared if name in part.facts}, **reading_facts(what, pack)}
    return subject(pack, READING, found.name, found.pointer, facts, part.questions)


def _test(part: Subject, readings: Sequence[Subject], pack: RulePack) -> Subject:
    facts: dict[str, FactValue] = {**part.facts, "reading_result": _result(readings, pack)}
    told = {fact.name: facts[fact.name] for fact in pack.facts_of(TEST) if fact.name in facts}
    return replace(subject(pack, TEST, part.name, part.pointer, told, part.questions), possible=part.possible)


def _result(readings: Sequence[Subject], pack: RulePack) -> str:
    """What the readings of one part come to: the one that says most; a firm pass or failure before one that proves nothing."""
    if not readings:
        return "none"
    levels = [one.levels[FOUND] for one in readings]
    firm = [pack.outcomes[FOUND].levels[level.worst_case] for level in levels if level.firm]
    if any(word not in _RESULTS for word in firm):
        firm.append("proves_nothing")
    return next((word for word in _RESULTS if word in firm), "unknown")


def _reports(readings: Sequence[Subject], pack: RulePack) -> tuple[Verdict, ...]:
    """What is to be reported of the readings, each thing once; nothing of those that are sound."""
    told = [verdict(one, _REPORT, pack) for one in readings if _REPORT in pack.outcomes and one.levels[_REPORT].worst_case > 0]
    return tuple({one.act_on: one for one in told}.values())


def _answer(one: Subject, pack: RulePack) -> ReadingAnswer:
    told = verdict(one, FOUND, pack)
    return ReadingAnswer(one.name, one.pointer, f"Reading {one.name}: {told.words}.", told)
