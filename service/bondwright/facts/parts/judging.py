"""Which of the readings on a part stands: the row is concluded once with each, and the least cautious conclusion is taken."""

from collections.abc import Mapping, Sequence

from bondwright.conclude.reasoning import Reasoning
from bondwright.errors import Contradiction, Fault
from bondwright.facts.parts.neighbours import less_certain_beside
from bondwright.facts.parts.part import Part
from bondwright.facts.parts.readings import Limits, proves_a_path, reading_facts
from bondwright.facts.parts.rows import Piece
from bondwright.facts.row import Judged, Row, judged
from bondwright.installation.proof import Measurement
from bondwright.members import replace
from bondwright.metalwork.graph import Graph
from bondwright.metalwork.lengths import Length, Noted
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue
from bondwright.rulebook.pack import RulePack


def judged_parts(pieces: Sequence[Piece], rows: Sequence[Row], graph: Graph, limits: Limits, reasoning: Reasoning) -> tuple[Part, ...]:
    """Every part with its outcomes, in the order of its rows.

    Raises: Contradiction, where a reading shows a path to earth that the description rules out.
    """
    variants = [_with_each_reading(row, piece.lengths, reasoning.pack, limits) for row, piece in zip(rows, pieces, strict=True)]
    conclusions = iter(judged([row for group in variants for row in group], reasoning))
    least = [_least([next(conclusions) for _ in group]) for group in variants]
    certain = less_certain_beside([(piece.run, part) for piece, part in zip(pieces, least, strict=True)], graph, reasoning.pack)
    return tuple(Part(piece.run, piece.lengths, part) for piece, part in zip(pieces, certain, strict=True))


def _with_each_reading(row: Row, lengths: Sequence[Length], pack: RulePack, limits: Limits) -> list[Row]:
    """The part once with each reading on it and, last, without any; the least cautious of them stands.

    A reading that shows a path makes the reach certain, or contradicts a description that rules every path out.
    """
    readings = [noted for length in lengths for noted in length.noted.measurements]
    if not readings:
        return [row]
    showing = [noted for noted in readings if proves_a_path(noted.described, limits.decides.lowest, pack)]
    if showing:
        return [_with_path(row, showing, readings, pack, limits)]
    return [*(_with(row, reading_facts(noted.described, pack)) for noted in readings), row]


def _with_path(
    row: Row, showing: Sequence[Noted[Measurement]], readings: Sequence[Noted[Measurement]], pack: RulePack, limits: Limits
) -> Row:
    high = [noted for noted in readings if _reads_high(noted.described, limits, pack)]
    if row.facts["reaches_ground"] == "no" and row.facts["reaches_other_installation"] == "no":
        way_out = "the reading shows a path to earth that the description rules out; describe an earthy length, or correct the reading"
        raise Contradiction(tuple(Fault(f"{noted.pointer}/reading", way_out) for noted in showing))
    if high:
        way_out = "one reading shows a path to earth and another none; say which conditions differed, or leave one out"
        raise Contradiction(tuple(Fault(f"{noted.pointer}/reading", way_out) for noted in high))
    reaching = "reaches_ground" if row.facts["reaches_ground"] != "no" else "reaches_other_installation"
    shown = [_with(row, {**reading_facts(noted.described, pack), reaching: "yes"}) for noted in readings if noted in showing]
    return min(shown, key=lambda row: _knows_most(row.facts))


def _reads_high(reading: Measurement, limits: Limits, pack: RulePack) -> bool:
    value = reading_facts(reading, pack).get("isolation_reading")
    return isinstance(value, Between) and value.lowest >= limits.decides.highest


def _with(row: Row, facts: Mapping[str, FactValue]) -> Row:
    return replace(row, facts={**row.facts, **{name: value for name, value in facts.items() if name in row.facts}})


def _least(conclusions: Sequence[Judged]) -> Judged:
    """The least cautious variant; the last one, without a reading, stays with it, for a better reading could be made."""
    if len(conclusions) == 1:
        return conclusions[0]
    chosen = min(_least_cautious(conclusions), key=lambda found: _knows_most(found.facts))
    return replace(chosen, without_evidence=conclusions[-1].conclusion) if chosen is not conclusions[-1] else chosen


def _least_cautious(conclusions: Sequence[Judged]) -> list[Judged]:
    cautions = [tuple((level.worst_case, level.certain) for level in found.levels.values()) for found in conclusions]
    least = min(cautions)
    return [found for found, caution in zip(conclusions, cautions, strict=True) if caution == least]


def _knows_most(facts: Mapping[str, FactValue]) -> tuple[int, str]:
    """Least first: of equally cautious ones the one that knows most, and then one that does not depend on their order."""
    return sum(value == UNKNOWN for value in facts.values()), repr(facts)
