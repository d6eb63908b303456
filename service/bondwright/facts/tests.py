"""The rows of readings that were taken, and of what to look at or measure next on each part."""

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from bondwright.conclude.reasoning import Reasoning
from bondwright.errors import Contradiction, Fault
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.parts.part import Part
from bondwright.facts.parts.readings import reading_facts
from bondwright.facts.row import Judged, Row, judged, row_of
from bondwright.installation.proof import Measurement
from bondwright.metalwork.lengths import Noted
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

READING = "reading"
TEST = "test"
_SPEAKS_AGAINST = "speaks_against_its_bond"
_RESULTS = ("fails", "passes", "proves_nothing")
"""What readings come to, the word that says most first; any other level proves nothing of the metal."""


class Tested(Struct, frozen=True):
    """The readings on one part, each judged by itself, and what is to be looked at or measured next."""

    readings: tuple[Judged, ...]
    next_test: Judged


def tested(parts: Iterable[Part], reasoning: Reasoning) -> Mapping[str, Tested]:
    """The readings and the next test of each part, by the part's name; nothing where the pack does not judge readings."""
    pack, parts = reasoning.pack, tuple(parts)
    if pack.roles.reads not in pack.outcomes:
        return {}
    taken = [(part, noted) for part in parts for noted in part.measurements]
    rows = [_reading(part.judged, noted, pack) for part, noted in taken]
    readings: dict[str, list[Judged]] = {part.name: [] for part in parts}
    for (part, _), reading in zip(taken, judged(rows, reasoning), strict=True):
        readings[part.name].append(reading)
    tests = judged([_test(part.judged, readings[part.name], pack) for part in parts], reasoning)
    return {test.name: Tested(tuple(readings[test.name]), test) for test in tests}


def refuse_contradicted(
    parts: Iterable[Part], bonds: Mapping[str, tuple[JudgedBond, ...]], tests: Mapping[str, Tested], pack: RulePack
) -> None:
    """Pass, unless a reading surely speaks against a bond that surely connects. Packs without that level know no such reading.

    Raises: Contradiction, with the place of each such reading.
    """
    reads, counts = pack.roles.reads, pack.roles.counts
    if reads not in pack.outcomes or _SPEAKS_AGAINST not in pack.outcomes[reads].levels:
        return
    against = pack.outcomes[reads].levels.index(_SPEAKS_AGAINST)
    way_out = "the bond was measured good, and its metal reads high with it on; measure both again, and leave the wrong reading out"
    faults = tuple(
        Fault(f"{reading.pointer}/reading", way_out)
        for part in parts
        if any(bond.judged.levels[counts].worst_case == 0 for bond in bonds[part.name])
        for reading in tests[part.name].readings
        if (level := reading.levels[reads]).firm and level.worst_case == against
    )
    if faults:
        raise Contradiction(faults)


def _reading(part: Judged, noted: Noted[Measurement], pack: RulePack) -> Row:
    shared = ("isolation_limit", "isolation_limit_at_rcd_current", "carries_water", "touches_soil_or_concrete")
    facts: dict[str, FactValue] = {
        **{name: part.facts[name] for name in shared if name in part.facts},
        **reading_facts(noted.described, pack),
    }
    return row_of(pack, READING, noted.name, noted.pointer, facts, part.row.asked)


def _test(part: Judged, readings: Sequence[Judged], pack: RulePack) -> Row:
    facts: dict[str, FactValue] = {**part.facts, "reading_result": _result(readings, pack)}
    told = {fact.name: facts[fact.name] for fact in pack.facts_of(TEST) if fact.name in facts}
    return row_of(pack, TEST, part.name, part.pointer, told, part.row.asked, part.row.answers)


def _result(readings: Sequence[Judged], pack: RulePack) -> str:
    """What the readings of one part come to: the one that says most; a firm pass or failure before one that proves nothing."""
    if not readings:
        return "none"
    levels = [reading.levels[pack.roles.reads] for reading in readings]
    firm = [pack.outcomes[pack.roles.reads].levels[level.worst_case] for level in levels if level.firm]
    if any(word not in _RESULTS for word in firm):
        firm.append("proves_nothing")
    return next((word for word in _RESULTS if word in firm), "unknown")
