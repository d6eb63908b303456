"""What is open of a location: the questions behind its unknown facts, each at the field that would tell."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.what_if import Answers
from bondwright.facts.asking import ask_field, ask_keys, ask_open
from bondwright.facts.parts.part import DUTY, EXTRANEOUS, REQUIRED, Part, is_extraneous
from bondwright.facts.rooms.building import CONNECTION, Building, in_place
from bondwright.facts.rooms.circuits import circuit_questions
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.worlds import near_gaps
from bondwright.rulebook.facts import NO, UNKNOWN, FactValue
from bondwright.rulebook.pack import RulePack


@dataclass(frozen=True, slots=True)
class Connected:
    """Whether every extraneous part of a room is connected to the main bonding, and what would show it."""

    holds: Known
    asked: tuple[Asked, ...] = ()


@dataclass(frozen=True, slots=True)
class Asking:
    """A location that is asked about. `present`: the metal that can be touched in it; none if nobody described it."""

    location: Location
    pointer: str
    building: Building
    present: Sequence[Touched] | None
    connected: Connected
    reasoning: Reasoning

    @property
    def pack(self) -> RulePack:
        """The pack that judges."""
        return self.reasoning.pack

    def asked(self, facts: Mapping[str, FactValue]) -> Mapping[str, tuple[Asked, ...]]:
        """The questions behind those of its facts that are unknown."""
        about: Mapping[str, Callable[[], Iterable[Asked]]] = {
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

    def answers(self) -> Answers:
        """What answers can make of its open facts: first the metal, then what connects it; without equipment nothing touches equipment."""
        if self._metal_first():
            return Answers({"extraneous_parts_connected": ()})
        items = self.location.items
        if isinstance(items, str) or any(self.pack.kind("item", item.kind).word("equipment", "no") != "no" for item in items):
            return Answers()
        return Answers(implied={"parts_reachable_together": NO})

    def _metal_first(self) -> bool:
        return self.present is None and CONNECTION in self.pack.outcomes

    def _field(self, ask: str, field: str, said: object) -> tuple[Asked, ...]:
        return ask_field(ask, f"{self.pointer}/{field}", said, self.pack)

    def _described(self) -> Iterator[Asked]:
        yield from self._field("room_metalwork", "services", self.location.services)
        yield from self._field("room_metalwork", "items", self.location.items)

    def _metal(self) -> Iterator[Asked]:
        """Whether metal can be touched in the room, and whether that metal is extraneous."""
        yield from self._described()
        for touched in self._doubtful():
            yield from self._of_metal(touched, "room_metalwork")

    def _doubtful(self) -> list[Touched]:
        return [touched for touched in self.present or () if touched.counts == "unknown"]

    def _of_metal(self, touched: Touched, ask: str) -> Iterator[Asked]:
        yield from ask_field(ask, f"{touched.pointer}/accessible", touched.said.accessible, self.pack)
        if touched.part is None:
            return
        if touched.part.in_scope and is_extraneous(touched.part, self.pack) == "unknown":
            yield from ask_open(touched.part.judged, EXTRANEOUS, self.reasoning, self.pack.outcomes[EXTRANEOUS].levels[-1])
        for node in touched.here:
            length = self.building.survey.lengths[node]
            keys = (
                near_gaps(self.building.survey.graph, "protective_conductor")(node) if self.building.by_conductor[node] == "unknown" else ()
            )
            where = length.gaps.get("stands_inside") if length.stands_inside == "unknown" else None
            yield from ask_keys([*keys, where], self.pack)

    def _together(self) -> Iterator[Asked]:
        yield from self._described()
        for touched in self.present or ():
            if touched.part is not None and touched.part.head.service.equipment_case == "yes":
                yield from ask_field("equipment_together", f"{touched.pointer}/accessible", touched.said.accessible, self.pack)
                gaps = (self.building.survey.graph.metal_gaps.get(touched.part.head.node), touched.part.head.gaps.get("protected_as"))
                yield from ask_keys(gaps, self.pack)
        for touched in self._doubtful():
            yield from self._of_metal(touched, "equipment_together")

    def _main_bonding(self) -> Iterator[Asked]:
        yield from ask_field("survey_complete", "/survey_complete", self.building.survey_complete, self.pack)
        doubtful = (part for part in self.building.parts if in_place(part, self.building, False, self.pack) == "unknown")
        about = [tuple(self._of_place(part)) for part in doubtful]
        if all(about):  # else no answer shows that it is in place everywhere
            yield from (question for questions in about for question in questions)

    def _of_place(self, part: Part) -> Iterator[Asked]:
        if part.in_scope:
            yield from ask_open(part.judged, DUTY, self.reasoning, REQUIRED)
        else:
            yield from ask_keys([length.gaps.get("stands_inside") for length in part.lengths], self.pack)
        for serving in self._serving(part):
            yield from self.building.about_bonds(serving, self.reasoning)

    def _connections(self) -> Iterator[Asked]:
        yield from self._described()
        if CONNECTION in self.pack.outcomes:
            yield from self.connected.asked
            return
        about = [tuple(self._of_connection(touched)) for touched in self.present or () if self._in_doubt(touched)]
        if all(about):  # else no answer shows that every part is connected
            yield from (question for questions in about for question in questions)

    def _in_doubt(self, touched: Touched) -> bool:
        return touched.counts != "no" and (touched.part is None or self.building.connected(touched.part, False) != "yes")

    def _of_connection(self, touched: Touched) -> Iterator[Asked]:
        if touched.counts == "unknown":
            yield from self._of_metal(touched, "room_metalwork")
        if touched.part is not None:
            for part in self._serving(touched.part):
                yield from self.building.about_bonds(part, self.reasoning)

    def _serving(self, part: Part) -> list[Part]:
        """The parts whose bonds decide whether a part is connected: itself, or those that serve it."""
        return [part, *self.building.serving(part)]
