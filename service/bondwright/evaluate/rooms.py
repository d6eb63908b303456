"""Rooms with a bath or shower as subjects: supplementary bonding, its sizes, its limit, and the one act that would free from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.evaluate.acts import Act, sentence
from bondwright.evaluate.answer import Question, RoomAnswer, RoomLink
from bondwright.evaluate.circuits import circuit_facts
from bondwright.evaluate.parts import Part
from bondwright.evaluate.reasoning.ladder import Standing
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.evaluate.reasoning.verdicts import size_verdict, verdict
from bondwright.installation.description import Installation
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
_LIMIT = "supplementary_resistance_limit"
_EXTRANEOUS = "extraneous"
_DUTY = "main_bonding"
_LINKS = {
    "exposed_to_extraneous_size": "the protective conductor of each circuit to each extraneous part",
    "extraneous_to_extraneous_size": "extraneous part to extraneous part",
    "exposed_to_exposed_size": "the protective conductors of the circuits to each other",
}


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
        if self.states[name] in ("counts", "mend") or (planned and self.acts[name].advice.mark in ("do", "measure_first")):
            return "yes"
        if self.acts[name].covered_by:
            return "unknown"
        return "no" if part.bonds_known and self.states[name] != "cannot_rely" else "unknown"


def room_answers(installation: Installation, house: House, pack: RulePack, acting: Acting) -> tuple[RoomAnswer, ...]:
    """One answer per location, in the order given."""
    rows = [
        _facts(location, index, house, pack, planned) for index, location in enumerate(installation.locations) for planned in (False, True)
    ]
    judged = run_stages(pack, ROOM, rows, acting)
    acts = (
        ("once every circuit of the room has a tested 30 mA residual current device", {"rcd_on_every_circuit": "yes"}),
        ("once every circuit of the room disconnects in the time asked for", {"disconnection_met": "yes"}),
    )
    answers = []
    for index, location in enumerate(installation.locations):
        one, with_plan = judged[2 * index], judged[2 * index + 1]
        once = _omitted_once(one, with_plan, acts, house, pack, acting)
        answers.append(_answer(location, index, one, once, pack))
    return tuple(answers)


def _facts(location: Location, index: int, house: House, pack: RulePack, planned: bool) -> Subject:
    pointer = f"/locations/{index}"
    touchable = _touchable(location, index, house, pack)
    present = {} if touchable is None else touchable
    facts: dict[str, FactValue] = {
        "extraneous_part_accessible": "unknown" if touchable is None else either(*present.values()),
        "main_bonding_in_place": both(house.survey_complete, *(_in_place(part, house, planned) for part in house.parts)),
        "extraneous_parts_connected": "unknown" if touchable is None else both("yes", *_connections(present, house, planned)),
        "bonding_protected": location.bonding_protected,
        **circuit_facts(location.circuits, pack),
    }
    questions = {
        "extraneous_part_accessible": (Question("room_metalwork", pack.asks["room_metalwork"], pointer),),
        "main_bonding_in_place": _about_main_bonding(house, pack),
        "bonding_protected": (Question("bonding_protected", pack.facts["bonding_protected"].ask, f"{pointer}/bonding_protected"),),
    }
    circuits = (Question("room_circuits", pack.asks["room_circuits"], f"{pointer}/circuits"),)
    if location.circuits == "unknown":
        questions |= dict.fromkeys(
            ("disconnection_met", "rcd_on_every_circuit", "largest_cpc", "lesser_cpc", "operating_current"), circuits
        )
    return subject(pack, ROOM, location.id or f"locations-{index}", pointer, facts, questions)


def _touchable(location: Location, index: int, house: House, pack: RulePack) -> Mapping[str, Known] | None:
    """For each piece of metal in the room, whether it is extraneous and can be touched; none if the room's metal is not described.

    A service joined to protective conductors counts here: they bring the terminal's potential in.
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
                brings = both(known(service.accessible), either(_extraneous(part, pack), cpc[node]))
                found[node] = either(found.get(node, "no"), brings)
    for number, item in enumerate(location.items):
        node = item_node(item.id, f"/locations/{index}/items/{number}")
        part = house.of(node)
        assert part is not None, "every item is a part"
        found[node] = both(known(item.accessible), _extraneous(part, pack) if part.head.equipment_case == "no" else "no")
    return found


def _extraneous(part: Part, pack: RulePack) -> Known:
    top = len(pack.outcomes[_EXTRANEOUS].levels) - 1
    level = part.subject.levels[_EXTRANEOUS]
    return "yes" if level.settled >= top else "unknown" if level.act_on >= top else "no"


def _in_place(part: Part, house: House, planned: bool) -> Known:
    """Whether main bonding on this part is as it must be: not called for, or connected, or served by parts that are."""
    level = part.subject.levels[_DUTY]
    if level.act_on == 0:
        return "yes"
    servers = [house.of(name) for name in house.acts[part.subject.name].covered_by]
    if servers:
        return both(*(house.connected(one, planned) for one in servers if one is not None))
    connected = house.connected(part, planned)
    return connected if level.lowest > 0 or connected == "yes" else either(connected, "unknown")


def _connections(present: Mapping[str, Known], house: House, planned: bool) -> list[Known]:
    found: list[Known] = []
    for node, touchable in present.items():
        part = house.of(node)
        connected: Known = "unknown" if part is None else house.connected(part, planned)
        absent: Known = "yes" if touchable == "no" else "no" if touchable == "yes" else "unknown"
        found.append(either(absent, connected))
    return found


def _about_main_bonding(house: House, pack: RulePack) -> tuple[Question, ...]:
    asked = [Question("bond", pack.asks["bond"], part.head.pointer) for part in house.parts if _in_place(part, house, False) == "unknown"]
    if house.survey_complete == "unknown":
        asked.append(Question("survey_complete", pack.asks["survey_complete"], "/survey_complete"))
    return tuple(dict.fromkeys(asked))


def _omitted_once(
    one: Subject, with_plan: Subject, acts: Sequence[tuple[str, Mapping[str, FactValue]]], house: House, pack: RulePack, acting: Acting
) -> str | None:
    """The one act after which supplementary bonding may be omitted; none if it may be already, or more than one act is needed."""
    now = one.levels[OUTCOME].act_on
    if now < len(pack.outcomes[OUTCOME].levels) - 1:
        return None
    if with_plan.levels[OUTCOME].act_on < now:
        names = [part.head.name for part in house.parts if house.acts[part.subject.name].advice.mark == "do"]
        return f"once the main bonding of the plan is made: {', '.join(names)}" if names else "once the main bonding of the plan is made"
    changed = [_bare(one, facts) for _, facts in acts]
    for (words, _), after in zip(acts, run_stages(pack, ROOM, changed, acting), strict=True):
        if after.levels[OUTCOME].act_on < now:
            return words
    return None


def _bare(one: Subject, facts: Mapping[str, FactValue]) -> Subject:
    return replace(
        one,
        facts={**one.facts, **facts},
        settled={**one.settled, **facts},
        levels={},
        sizes={},
        acting=frozenset(),
        stands=Standing({}, {}),
    )


def _answer(location: Location, index: int, one: Subject, once: str | None, pack: RulePack) -> RoomAnswer:
    told = verdict(one, OUTCOME, pack)
    level = one.levels[OUTCOME]
    act = ("room_nothing", "room_omit", "room_bond" if told.firm else "room_settle")[level.act_on]
    advice, needed = pack.advice[act], level.act_on > 1
    limit = size_verdict(one, _LIMIT, pack)
    name = location.id or f"room {index + 1} with a bath or shower"
    words = {"location": name, "reading": f"{limit.lowest:.4g} ohm"}
    links = tuple(RoomLink(joins, size_verdict(one, size, pack)) for size, joins in _LINKS.items()) if needed else ()
    return RoomAnswer(
        location=one.name,
        pointer=one.pointer,
        name=name,
        act=act,
        mark=advice.mark,
        line=sentence(advice.line, words),
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=tuple(sentence(test, words) for test in advice.tests),
        omitted_once=once,
        verdicts=(told,),
        links=links,
        resistance_limit=limit if level.act_on > 0 else None,
    )
