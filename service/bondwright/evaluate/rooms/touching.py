"""Locations as subjects: supplementary bonding, its sizes, its limit, and the one act that would free from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.evaluate.acts import Act
from bondwright.evaluate.answer import Question
from bondwright.evaluate.bonds import SERVING
from bondwright.evaluate.parts import DUTY, Part, required, stays_outside
from bondwright.evaluate.readings import resistance_between
from bondwright.evaluate.reasoning.stages import Subject, subject
from bondwright.evaluate.rooms.circuits import circuit_facts
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.survey import item_node
from bondwright.metalwork.worlds import reached
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

ROOM = "room"
OUTCOME = "supplementary_bonding"
_EXTRANEOUS = "extraneous"


@dataclass(frozen=True, slots=True)
class House:
    """What rooms need to know of the rest: parts, what to do about each, which are bonded, and what the description covers."""

    parts: Sequence[Part]
    acts: Mapping[str, Act]
    states: Mapping[str, str]
    found: Survey
    survey_complete: Known

    def of(self, node: str) -> Part | None:
        """The part that a node belongs to."""
        return next((part for part in self.parts if node in part.run or node == part.subject.name), None)

    def connected(self, part: Part, planned: bool) -> Known:
        """Whether a part is connected to the main bonding; `planned`: with the connections of the plan made."""
        name = part.subject.name
        if self.states[name] in SERVING or (planned and self.acts[name].advice.mark in ("do", "measure_first")):
            return "yes"
        if self.acts[name].covered_by:
            return "unknown"
        return "no" if part.judged and part.bonds_known and self.states[name] != "cannot_rely" else "unknown"


def room_subject(location: Location, index: int, house: House, pack: RulePack, planned: bool) -> Subject:
    """A location with its facts; `planned`: as it would be with the connections of the plan made."""
    pointer = f"/locations/{index}"
    touchable = _touchable(location, index, house, pack)
    present = {} if touchable is None else touchable
    facts: dict[str, FactValue] = {
        "location_kind": pack.kind("location", location.kind).word("called", location.kind),
        "extraneous_part_accessible": "unknown" if touchable is None else either(*present.values()),
        "parts_reachable_together": "unknown" if touchable is None else _together(location, index, house, present),
        "main_bonding_in_place": both(house.survey_complete, *(_in_place(part, house, planned, pack) for part in house.parts)),
        "extraneous_parts_connected": "unknown" if touchable is None else both("yes", *_connections(present, house, planned)),
        "bonding_protected": location.bonding_protected,
        **_found(location, pack),
        **circuit_facts(location.circuits, pack),
    }
    questions = {
        "extraneous_part_accessible": (Question("room_metalwork", pack.asks["room_metalwork"], pointer),),
        "main_bonding_in_place": _about_main_bonding(house, pack),
        "bonding_protected": (Question("bonding_protected", pack.facts["bonding_protected"].ask, f"{pointer}/bonding_protected"),),
    }
    if "equipment_together" in pack.asks:
        questions["parts_reachable_together"] = (Question("equipment_together", pack.asks["equipment_together"], f"{pointer}/items"),)
    for fact, key in (("supplementary_present", "present"), ("supplementary_resistance", "resistance")):
        if fact in pack.facts:
            questions[fact] = (Question(fact, pack.facts[fact].ask, f"{pointer}/supplementary_bonding/{key}"),)
    circuits = (Question("room_circuits", pack.asks["room_circuits"], f"{pointer}/circuits"),)
    if location.circuits == "unknown":
        questions |= dict.fromkeys(
            ("disconnection_met", "rcd_on_every_circuit", "largest_cpc", "lesser_cpc", "operating_current"), circuits
        )
    return subject(pack, ROOM, room_id(location, index), pointer, facts, questions)


def room_id(location: Location, index: int) -> str:
    """What answers call a location: its id, or its place."""
    return location.id or f"locations-{index}"


def _touchable(location: Location, index: int, house: House, pack: RulePack) -> Mapping[str, Known] | None:
    """For each piece of metal in the room, whether it is extraneous and can be touched; none if the room's metal is not described.

    Of a service only what stands inside shows there. One joined to protective conductors counts: they bring the terminal's potential in.
    """
    if isinstance(location.services, str) or isinstance(location.items, str):
        return None
    cpc = reached(house.found.graph, "protective_conductor")
    found: dict[str, Known] = {}
    for service in location.services:
        nodes = house.found.by_kind.get(service.kind, ())
        if not nodes:
            found[service.kind] = either(found.get(service.kind, "no"), both("unknown", known(service.accessible)))
        for node in nodes:
            part = house.of(node)
            if part is not None:
                inside = house.found.lengths[node].stands_inside
                brings = both(known(service.accessible), inside, either(_extraneous(part, pack), cpc[node]))
                found[node] = either(found.get(node, "no"), brings)
    for number, item in enumerate(location.items):
        node = item_node(item.id, f"/locations/{index}/items/{number}")
        part = house.of(node)
        assert part is not None, "every item is a part"
        found[node] = both(known(item.accessible), _extraneous(part, pack) if part.head.equipment_case == "no" else "no")
    return found


def _together(location: Location, index: int, house: House, present: Mapping[str, Known]) -> Known:
    """Whether an equipment case can be touched together with another or with an extraneous part."""
    assert not isinstance(location.items, str), "the caller has seen the items"
    cases: list[Known] = []
    for number, item in enumerate(location.items):
        part = house.of(item_node(item.id, f"/locations/{index}/items/{number}"))
        assert part is not None, "every item is a part"
        if part.head.equipment_case == "yes":
            ordinary: Known = known({"ordinary": "yes", "unknown": "unknown"}.get(item.protected_as, "no"))
            case = both(known(item.accessible), ordinary, house.found.graph.metal[part.head.node])
            cases += [case] * min(int(item.count), 2)
    pairs = [both(one, other) for place, one in enumerate(cases) for other in cases[:place]]
    return either(*pairs, *(both(case, other) for case in cases for other in present.values()))


def _found(location: Location, pack: RulePack) -> dict[str, FactValue]:
    found = location.supplementary_bonding
    measured = resistance_between(found.resistance, pack)
    facts: dict[str, FactValue] = {"supplementary_present": found.present}
    return facts if measured is None else {**facts, "supplementary_resistance": measured}


def _extraneous(part: Part, pack: RulePack) -> Known:
    if not part.judged:
        return "unknown"
    top = len(pack.outcomes[_EXTRANEOUS].levels) - 1
    level = part.subject.levels[_EXTRANEOUS]
    return "yes" if level.settled >= top else "unknown" if level.worst_case >= top else "no"


def _in_place(part: Part, house: House, planned: bool, pack: RulePack) -> Known:
    """Whether main bonding on this part is as it must be: not called for, or connected, or served by parts that are."""
    if not part.judged:
        return "yes" if stays_outside(part) else "unknown"
    duty = required(part, pack)
    if duty == "no":
        return "yes"
    certain = part.subject.levels[DUTY].lowest == len(pack.outcomes[DUTY].levels) - 1
    servers = [house.of(name) for name in house.acts[part.subject.name].covered_by]
    if servers:
        return both(*(house.connected(one, planned) for one in servers if one is not None))
    connected = house.connected(part, planned)
    return connected if certain or connected == "yes" else either(connected, "unknown")


def _connections(present: Mapping[str, Known], house: House, planned: bool) -> list[Known]:
    found: list[Known] = []
    for node, touchable in present.items():
        part = house.of(node)
        connected: Known = "unknown" if part is None else house.connected(part, planned)
        absent: Known = "yes" if touchable == "no" else "no" if touchable == "yes" else "unknown"
        found.append(either(absent, connected))
    return found


def _about_main_bonding(house: House, pack: RulePack) -> tuple[Question, ...]:
    doubtful = [part for part in house.parts if _in_place(part, house, False, pack) == "unknown"]
    asked = [Question("bond", pack.asks["bond"], part.head.pointer) for part in doubtful]
    if house.survey_complete == "unknown":
        asked.append(Question("survey_complete", pack.asks["survey_complete"], "/survey_complete"))
    return tuple(dict.fromkeys(asked))
