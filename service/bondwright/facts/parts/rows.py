"""The row of each part: what it is made of, what it reaches, where it stands, and the questions behind each."""

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from bondwright.conclude.what_if import Answers
from bondwright.facts.asking import ask_keys
from bondwright.facts.parts.on_earthings import OnEarthings, on_earthings
from bondwright.facts.parts.part import PART
from bondwright.facts.parts.position import about_position, entry_section, position
from bondwright.facts.parts.readings import Limits
from bondwright.facts.row import Asked, Row, row_of
from bondwright.metalwork.graph import Known, Run, Source
from bondwright.metalwork.known import either
from bondwright.metalwork.lengths import Length, Survey
from bondwright.metalwork.worlds import Deciding, near_deciding, reached
from bondwright.rulebook.facts import NO, YES, Between, FactValue
from bondwright.rulebook.pack import RulePack

_REACH: Mapping[str, Source] = {
    "reaches_ground": "ground",
    "reaches_other_installation": "other_installation",
    "joined_to_other_earthing": "other_earthing_system",
    "joined_to_mixed_earthing": "mixed_earthing",
}
_TOLD_OF_LENGTHS = (
    "touches_soil_or_concrete",
    "owner_asset",
    "owner_consent",
    "protected_as",
    "insulating_section_at_entry",
    "insulating_section_length",
    "insulating_section_from_entry",
    "meter_outside",
)
"""Facts of a part whose questions the survey keeps with its lengths."""


class Piece(Struct, frozen=True):
    """The metal of one part: its run in the graph (empty for plastic), the lengths of it that somebody can reach, and all of the run."""

    run: Run
    lengths: tuple[Length, ...]
    everywhere: tuple[Length, ...] = ()


class _Reach(Struct, frozen=True):
    """What one source reaches, by node, and the nearest questions about it."""

    answers: Mapping[str, Known]
    deciding: Callable[[str], Deciding]


def pieces_of(surveyed: Survey) -> list[Piece]:
    """What somebody can reach of each run and of each plastic length, in the order of the description."""
    graph = surveyed.graph
    order = {node: index for index, node in enumerate(graph.nodes)}
    metal = (_metal([surveyed.lengths[node] for node in sorted(run, key=order.__getitem__)], run) for run in graph.runs)
    plastic = (Piece(Run(), (length,)) for node, length in surveyed.lengths.items() if graph.metal[node] == "no")
    reachable = [piece for piece in (*metal, *plastic) if piece.lengths]
    return sorted(reachable, key=lambda piece: order[piece.lengths[0].node])


def part_rows(
    surveyed: Survey,
    pieces: Sequence[Piece],
    pack: RulePack,
    limits: Limits,
    shared: Mapping[str, FactValue],
    asked_of_all: Mapping[str, tuple[Asked, ...]],
) -> list[Row]:
    """The row of each piece, without any reading.

    `shared`: facts that are the same for every part, of the work, the premises and the earth; `asked_of_all`: questions behind them.
    """
    graph = surveyed.graph
    reach = {fact: _Reach(reached(graph, source), near_deciding(graph, source)) for fact, source in _REACH.items() if fact in pack.facts}
    earthings = on_earthings(graph)
    return [_row(surveyed, pack, limits, piece, reach, earthings, shared, asked_of_all) for piece in pieces]


def _metal(lengths: Sequence[Length], run: Run) -> Piece:
    return Piece(run, tuple(length for length in lengths if length.seen), tuple(lengths))


def _row(
    surveyed: Survey,
    pack: RulePack,
    limits: Limits,
    piece: Piece,
    reach: Mapping[str, _Reach],
    earthings: OnEarthings,
    shared: Mapping[str, FactValue],
    asked_of_all: Mapping[str, tuple[Asked, ...]],
) -> Row:
    head, node, graph = piece.lengths[0], piece.lengths[0].node, surveyed.graph
    everywhere, maybe_one = piece.everywhere or piece.lengths, surveyed.maybe_one_with(piece.run)
    known: dict[str, FactValue] = {
        **_made_of(head, everywhere, graph.metal[node], pack),
        **entry_section(everywhere),
        **position(everywhere, maybe_one),
        **earthings.facts(node),
        "isolation_limit": limits.decides,
        "isolation_limit_at_default_current": Between(limits.default, limits.default),
        "isolation_limit_at_rcd_current": Between(limits.raised, limits.raised),
    }
    reaches = {fact: source.answers[node] if graph.metal[node] != "no" else "no" for fact, source in reach.items()}
    deciding = {fact: source.deciding(node) for fact, source in reach.items() if reaches[fact] == "unknown"}
    asked = {**_asked(surveyed, pack, everywhere, deciding), **about_position(surveyed, everywhere, maybe_one, pack), **asked_of_all}
    asked |= earthings.asked(node, pack)
    possible: dict[str, tuple[FactValue, ...]] = {fact: ways for fact, (_, ways) in deciding.items() if ways}
    if any(length.stands_inside == "unknown" and "stands_inside" not in length.gaps for length in everywhere):
        possible["stands_inside"] = (YES,)
    return row_of(pack, PART, node, head.pointer, {**known, **reaches, **shared}, asked, Answers(possible))


def _made_of(head: Length, everywhere: Sequence[Length], metal: Known, pack: RulePack) -> dict[str, FactValue]:
    return {
        "metal": metal,
        "touches_soil_or_concrete": either(*(length.touches_soil_or_concrete for length in everywhere)),
        "carries_water": pack.cell("fluids", head.service.fluid, "conducts"),
        "owner_asset": either(*(length.service.owner_asset for length in everywhere)),
        "owner_consent": head.service.owner_consent,
        "sort": head.service.sort,
        "meter_outside": head.service.meter_outside,
        "protected_as": head.service.protected_as,
        **{fact: head.service.of_kind.get(fact, NO) for fact in pack.tells("item_kinds").values()},
        **{fact: either(*(length.of_material.get(fact, "no") for length in everywhere)) for fact in pack.tells("materials").values()},
    }


def _asked(
    surveyed: Survey, pack: RulePack, lengths: Sequence[Length], deciding: Mapping[str, Deciding]
) -> Mapping[str, tuple[Asked, ...]]:
    node = lengths[0].node
    keys: dict[str, list[str | None]] = {fact: [*deciding[fact][0]] for fact in deciding}
    keys["metal"] = [surveyed.graph.metal_gaps.get(node)]
    for fact in (*_TOLD_OF_LENGTHS, *pack.tells("materials").values()):
        keys[fact] = [length.gaps.get(fact) for length in lengths]
    keys["touches_soil_or_concrete"] = [
        length.gaps.get("touches_soil_or_concrete") for length in lengths if length.touches_soil_or_concrete == "unknown"
    ]
    keys["isolation_limit"] = ["touch_current_reason /touch_current_reason"]
    return {fact: questions for fact, behind in keys.items() if (questions := ask_keys(behind, pack))}
