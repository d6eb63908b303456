"""What is open of a location: the questions behind its unknown facts, each at the field that would tell."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.evaluate.answer import Question
from bondwright.evaluate.parts import DUTY, EXTRANEOUS, REQUIRED, Part
from bondwright.evaluate.reasoning.questions import field_question, open_questions, questions_of
from bondwright.evaluate.rooms.circuits import circuit_questions
from bondwright.evaluate.rooms.house import CONNECTION, House, in_place, is_extraneous
from bondwright.evaluate.rooms.touched import Touched
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.worlds import near_gaps
from bondwright.rulebook.facts import NO, UNKNOWN, FactValue
from bondwright.rulebook.pack import RulePack


@dataclass(frozen=True, slots=True)
class Connected:
    """Whether every extraneous part of a room is connected to the main bonding, and what would show it."""

    holds: Known
    questions: tuple[Question, ...] = ()


@dataclass(frozen=True, slots=True)
class Asking:
    """A location that is asked about. `present`: the metal that can be touched in it; none if nobody described it."""

    location: Location
    pointer: str
    house: House
    present: Sequence[Touched] | None
    connected: Connected
    pack: RulePack

    def questions(self, facts: Mapping[str, FactValue]) -> Mapping[str, tuple[Question, ...]]:
        """The questions behind those of its facts that are unknown."""
        about: Mapping[str, Callable[[], Iterable[Question]]] = {
            "extraneous_part_accessible": self._metal,
            "parts_reachable_together": self._together,
            "main_bonding_in_place": self._main_bonding,
            "extraneous_parts_connected": self._connections,
        }
        asked = {fact: tuple(dict.fromkeys(ask())) for fact, ask in about.items() if facts[fact] == UNKNOWN}
        found = self.location.supplementary_bonding
        return {
            **asked,
            **circuit_questions(self.location.circuits, f"{self.pointer}/circuits", self.pack),
            "bonding_protected": self._field("bonding_protected", "bonding_protected", self.location.bonding_protected),
            "supplementary_present": self._field("supplementary_present", "supplementary_bonding/present", found.present),
            "supplementary_resistance": self._field("supplementary_resistance", "supplementary_bonding/resistance", found.resistance),
        }

    def possible(self) -> Mapping[str, tuple[FactValue, ...]]:
        """What answers can make of its unknown facts, where that is less than anything: first the metal, then what connects it."""
        return {"extraneous_parts_connected": ()} if self._metal_first() else {}

    def implied(self) -> Mapping[str, FactValue]:
        """What its unknown facts come to, whatever is answered: without equipment nothing touches equipment."""
        items = self.location.items
        if self._metal_first() or isinstance(items, str):
            return {}
        cases = [one for one in items if self.pack.kind("item", one.kind).word("equipment", "no") != "no"]
        return {} if cases else {"parts_reachable_together": NO}

    def _metal_first(self) -> bool:
        return self.present is None and CONNECTION in self.pack.outcomes

    def _field(self, ask: str, field: str, said: object) -> tuple[Question, ...]:
        return field_question(ask, f"{self.pointer}/{field}", said, self.pack)

    def _described(self) -> Iterator[Question]:
        yield from self._field("room_metalwork", "services", self.location.services)
        yield from self._field("room_metalwork", "items", self.location.items)

    def _metal(self) -> Iterator[Question]:
        """Whether metal can be touched in the room, and whether that metal is extraneous."""
        yield from self._described()
        for one in self._doubtful():
            yield from self._of_metal(one, "room_metalwork")

    def _doubtful(self) -> list[Touched]:
        return [one for one in self.present or () if one.counts == "unknown"]

    def _of_metal(self, one: Touched, ask: str) -> Iterator[Question]:
        yield from field_question(ask, f"{one.pointer}/accessible", one.said.accessible, self.pack)
        if one.part is None:
            return
        if one.part.judged and is_extraneous(one.part, self.pack) == "unknown":
            yield from open_questions(one.part.subject, EXTRANEOUS, self.pack, self.pack.outcomes[EXTRANEOUS].levels[-1])
        for node in one.here:
            length = self.house.found.lengths[node]
            keys = near_gaps(self.house.found.graph, "protective_conductor")(node) if self.house.by_conductor[node] == "unknown" else ()
            where = length.gaps.get("stands_inside") if length.stands_inside == "unknown" else None
            yield from questions_of([*keys, where], self.pack)

    def _together(self) -> Iterator[Question]:
        yield from self._described()
        for one in self.present or ():
            if one.part is not None and one.part.head.equipment_case == "yes":
                yield from field_question("equipment_together", f"{one.pointer}/accessible", one.said.accessible, self.pack)
                gaps = (self.house.found.graph.metal_gaps.get(one.part.head.node), one.part.head.gaps.get("protected_as"))
                yield from questions_of(gaps, self.pack)
        for one in self._doubtful():
            yield from self._of_metal(one, "equipment_together")

    def _main_bonding(self) -> Iterator[Question]:
        yield from field_question("survey_complete", "/survey_complete", self.house.survey_complete, self.pack)
        doubtful = (part for part in self.house.parts if in_place(part, self.house, False, self.pack) == "unknown")
        about = [tuple(self._of_place(part)) for part in doubtful]
        if all(about):  # else no answer shows that it is in place everywhere
            yield from (question for some in about for question in some)

    def _of_place(self, part: Part) -> Iterator[Question]:
        if part.judged:
            yield from open_questions(part.subject, DUTY, self.pack, REQUIRED)
        else:
            yield from questions_of([length.gaps.get("stands_inside") for length in part.lengths], self.pack)
        for one in self._serving(part):
            yield from self.house.about_bonds(one, self.pack)

    def _connections(self) -> Iterator[Question]:
        yield from self._described()
        if CONNECTION in self.pack.outcomes:
            yield from self.connected.questions
            return
        about = [tuple(self._of_connection(one)) for one in self.present or () if self._in_doubt(one)]
        if all(about):  # else no answer shows that every part is connected
            yield from (question for some in about for question in some)

    def _in_doubt(self, one: Touched) -> bool:
        return one.counts != "no" and (one.part is None or self.house.connected(one.part, False) != "yes")

    def _of_connection(self, one: Touched) -> Iterator[Question]:
        if one.counts == "unknown":
            yield from self._of_metal(one, "room_metalwork")
        if one.part is not None:
            for part in self._serving(one.part):
                yield from self.house.about_bonds(part, self.pack)

    def _serving(self, part: Part) -> list[Part]:
        """The parts whose bonds decide whether a part is connected: itself, or those that serve it."""
        servers = [self.house.of(name) for name in self.house.acts[part.subject.name].covered_by]
        return [part, *(one for one in servers if one is not None)]
