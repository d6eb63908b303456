"""What is open of a location: the questions behind its unknown facts, each at the field that would tell."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.conclude.what_if import Answers
from bondwright.facts.asking import ask_field, ask_keys
from bondwright.facts.parts.part import Part
from bondwright.facts.rooms.building import CONNECTION, Building
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.rulebook.facts import NO, UNKNOWN, FactValue
from bondwright.rulebook.pack import RulePack


@dataclass(frozen=True, slots=True)
class Connected:
    """Whether every extraneous part of a room is connected to the main bonding, and what would show it."""

    holds: Known
    asked: tuple[Asked, ...] = ()


@dataclass(frozen=True, slots=True)
class Asking:
    """A location that is asked about.

    `present`: the metal that can be touched in it; none if nobody described it. `of_circuits`: what is asked behind facts of its circuits.
    """

    location: Location
    pointer: str
    building: Building
    present: Sequence[Touched] | None
    connected: Connected
    of_circuits: Mapping[str, tuple[Asked, ...]]

    @property
    def pack(self) -> RulePack:
        """The pack that judges."""
        return self.building.reasoning.pack

    def asked(self, facts: Mapping[str, FactValue]) -> Mapping[str, tuple[Asked, ...]]:
        """The questions behind those of its facts that are unknown."""
        about: Mapping[str, Callable[[], Iterable[Asked]]] = {
            "extraneous_part_accessible": self._metal,
            "parts_reachable_together": self._together,
            "main_bonding_in_place": self.building.about_main_bonding,
            "extraneous_parts_connected": self._connections,
        }
        asked = {fact: tuple(dict.fromkeys(ask())) for fact, ask in about.items() if facts[fact] == UNKNOWN}
        found = self.location.supplementary_bonding
        return {
            **asked,
            **self.of_circuits,
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
        yield from self.building.about_extraneous(touched.part.name)
        for node in touched.here:
            if self.building.by_conductor[node] == "unknown":
                yield from self.building.about_conductor(node)
            length = self.building.survey.lengths[node]
            yield from ask_keys([length.gaps.get("stands_inside") if length.stands_inside == "unknown" else None], self.pack)

    def _together(self) -> Iterator[Asked]:
        yield from self._described()
        for touched in self.present or ():
            if touched.part is not None and touched.part.head.service.equipment_case == "yes":
                yield from ask_field("equipment_together", f"{touched.pointer}/accessible", touched.said.accessible, self.pack)
                gaps = (self.building.survey.graph.metal_gaps.get(touched.part.head.node), touched.part.head.gaps.get("protected_as"))
                yield from ask_keys(gaps, self.pack)
        for touched in self._doubtful():
            yield from self._of_metal(touched, "equipment_together")

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
                yield from self.building.about_bonds(part.name)

    def _serving(self, part: Part) -> list[Part]:
        """The parts whose bonds decide whether a part is connected: itself, or those that serve it."""
        return [part, *self.building.serving(part)]
