"""One installation judged by one rule pack: the order of the work, room by room."""

from collections.abc import Mapping, Sequence

from bondwright.calculators.ranges import OutOfRange
from bondwright.compose.answer import Evaluation
from bondwright.compose.evaluation import Concluded, composed
from bondwright.conclude.concluding import Acting
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.bonds import JudgedBond, judged_bonds
from bondwright.facts.earth import about_earth, earth_facts, metal_shared, refuse_contradictions
from bondwright.facts.earthings.described import refuse_wrong_names
from bondwright.facts.earthings.places import EarthAtPlaces
from bondwright.facts.earthings.rows import earthing_rows
from bondwright.facts.findings import judged_findings
from bondwright.facts.parts.judging import judged_parts
from bondwright.facts.parts.part import Part, about_duty, required
from bondwright.facts.parts.readings import Limits, limits
from bondwright.facts.parts.rows import part_rows, pieces_of
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.judging import JudgedRoom, judged_rooms
from bondwright.facts.row import Judged, judged
from bondwright.facts.scope import Scope, scope
from bondwright.facts.supply import flat_supply, supply_row
from bondwright.facts.tests import refuse_contradicted, tested
from bondwright.installation.description import InspectedWork, Installation
from bondwright.members import replace
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import either, known
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.survey import survey
from bondwright.metalwork.worlds import reached
from bondwright.plan.acts import TO_CONNECT, Act, acts_of
from bondwright.plan.bond_states import SERVING, bond_states
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import RulePack


def evaluate(installation: Installation, pack: RulePack, acting: Acting, memory: Memory | None = None) -> Evaluation:
    """Everything that `pack` says about `installation`.

    Raises: Contradiction, if the description contradicts itself, or the pack lacks what it needs; EngineDisagreement, from `acting`.
    """
    reasoning = Reasoning(pack, acting, Kept() if memory is None else memory)
    try:
        return composed(_concluded(installation, reasoning), reasoning)
    except OutOfRange as error:
        raise pack.fault(f"gives a number with which nothing can be worked out: {error}") from None


def _concluded(installation: Installation, reasoning: Reasoning) -> Concluded:
    """The survey, then the rows of the parts, which rest on it alone, then those that need what was concluded of others."""
    pack, work = reasoning.pack, installation.work
    refuse_contradictions(installation)
    refuse_wrong_names(installation)
    aside, limit = scope(installation, pack), limits(installation, pack)
    surveyed = survey(installation, pack)

    parts = _parts(installation, surveyed, limit, aside, reasoning)
    in_scope = [part for part in parts if part.in_scope]

    supply = _supply(installation, parts, reasoning)
    bonds = judged_bonds(parts, supply, pack.cell("works", work.kind, "new"), reasoning)
    states = bond_states(parts, bonds, pack)
    acts = acts_of(parts, states, surveyed, reasoning)
    served_by = {name: act.covered_by for name, act in acts.items()}
    tests = tested(in_scope, reasoning)
    refuse_contradicted(in_scope, bonds, tests, pack)
    findings = judged_findings(in_scope, served_by, bonds, states, reasoning) if isinstance(work, InspectedWork) else {}
    locations = {index: location for index, location in enumerate(installation.locations) if index not in aside.rooms}
    rooms: Sequence[JudgedRoom] = ()
    if locations:
        building = _building(installation, surveyed, parts, bonds, states, acts, served_by, reasoning)
        rooms = judged_rooms(locations, building, pack.cell("works", work.kind, "alters_circuits"))
    earthings = judged(earthing_rows(installation, pack), reasoning) if pack.roles.further_earthing else ()
    return Concluded(installation, surveyed, aside, limit, parts, supply, bonds, states, acts, tests, findings, rooms, earthings)


def _parts(installation: Installation, surveyed: Survey, limit: Limits, aside: Scope, reasoning: Reasoning) -> tuple[Part, ...]:
    pack, pieces = reasoning.pack, pieces_of(surveyed)
    shared: dict[str, FactValue] = {
        "work_relies_on_bonding": pack.cell("works", installation.work.kind, "relies"),
        "flat_supply": flat_supply(installation),
        **earth_facts(installation.supply, pack),
    }
    rows = part_rows(surveyed, pieces, pack, limit, shared, about_earth(installation, pack))
    parts = judged_parts(pieces, rows, surveyed.graph, limit, reasoning)
    return tuple(replace(part, in_scope=False) if part.head.belongs_to in aside.things else part for part in parts)


def _supply(installation: Installation, parts: Sequence[Part], reasoning: Reasoning) -> Judged:
    """The supply, judged by what is concluded of the parts: whether any calls for bonding, and is shared with another installation."""
    shares_metal = metal_shared(installation, any(part.surely_shared for part in parts))
    called_for = either(*(required(part, reasoning.pack) for part in parts))
    row = supply_row(installation.supply, called_for, about_duty(parts, reasoning), shares_metal, reasoning.pack)
    return judged([row], reasoning)[0]


def _building(
    installation: Installation,
    surveyed: Survey,
    parts: Sequence[Part],
    bonds: Mapping[str, tuple[JudgedBond, ...]],
    states: Mapping[str, str],
    acts: Mapping[str, Act],
    served_by: Mapping[str, tuple[str, ...]],
    reasoning: Reasoning,
) -> Building:
    """What rooms need to know of the rest."""
    return Building(
        parts=parts,
        bonded={part.name: _bonded(part, states) for part in parts},
        bonded_with_plan={part.name: "yes" if acts[part.name].advice.mark in TO_CONNECT else _bonded(part, states) for part in parts},
        served_by=served_by,
        bonds=bonds,
        survey=surveyed,
        by_conductor=reached(surveyed.graph, "protective_conductor"),
        survey_complete=known(installation.survey_complete),
        reasoning=reasoning,
        earth=EarthAtPlaces(installation, reasoning.pack),
    )


def _bonded(part: Part, states: Mapping[str, str]) -> Known:
    """Whether a bond on the part itself connects it."""
    if states[part.name] in SERVING:
        return "yes"
    return "no" if part.in_scope and part.bonds_known and states[part.name] != "cannot_rely" else "unknown"
