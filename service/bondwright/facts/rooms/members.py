"""The metal that can be touched in a room as members of it, a part at a time: what can be asked of each."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.conclude.conclusion import Level
from bondwright.facts.asking import ask_field, ask_keys, ask_open, words_of
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.said import ask_told, said_number, said_word, thing_of
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked
from bondwright.facts.told import told_of
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, FactValue

METALWORK = "room_metalwork"
"""The question about the metal of a room."""
_BRINGS = "brings_potential"


class TouchedMember(Struct, frozen=True):
    """Metal that can be touched in a room, or may be; `kind`: of the room."""

    touched: Touched
    kind: str
    building: Building

    def word(self, field: str) -> str:
        """Whether it can be touched and may bring a potential in, or what is said in the room, told of it, or found of its part."""
        if field == _BRINGS:
            return self.touched.counts
        if self._is_said(field):
            return said_word(self.touched.said, field, self._told())
        part = self.touched.part
        found = UNKNOWN if part is None or not part.in_scope else part.judged.facts[field]
        return found if isinstance(found, str) else UNKNOWN

    def levels(self, field: str) -> Level | None:
        """What is concluded of its part; nothing where no rule covers it."""
        part = self.touched.part
        return part.judged.levels[field] if part is not None and part.in_scope else None

    def number(self, field: str, fact: FactDefinition) -> Between:
        """A number that is told of it."""
        return said_number(field, self._told(), fact)

    def could_be(self, field: str, fact: FactDefinition) -> None:
        """A number of metal may turn out to be anything in its range."""

    def asked(self, field: str, fact: str) -> tuple[Asked, ...]:
        """What would tell it."""
        pack, part = self.building.reasoning.pack, self.touched.part
        if field == _BRINGS:
            return tuple(of_metal(self.touched, METALWORK, self.building))
        if field in type(self.touched.said).model_fields:
            ask = METALWORK if words_of(METALWORK, pack) else fact
            return ask_field(ask, f"{self.touched.pointer}/{field}", getattr(self.touched.said, field), pack)
        if self._is_said(field):
            said = self.touched.said
            return ask_told(thing_of(said), said, pack.fact(field), self.kind, self.touched.pointer, pack)
        if part is None or not part.in_scope:
            return ()
        if field in pack.outcomes:
            return ask_open(part.judged, field, self.building.reasoning)
        return part.judged.row.asked.get(field, ())

    def _told(self) -> Mapping[str, FactValue]:
        said = self.touched.said
        return told_of(thing_of(said), said.told, self.kind, self.building.reasoning.pack)

    def _is_said(self, field: str) -> bool:
        facts = self.building.reasoning.pack.facts
        return field in type(self.touched.said).model_fields or (field in facts and bool(facts[field].told))


def of_metal(touched: Touched, ask: str, building: Building) -> Iterator[Asked]:
    """What would tell whether metal can be touched in a room and brings a potential in."""
    pack = building.reasoning.pack
    yield from ask_field(ask, f"{touched.pointer}/accessible", touched.said.accessible, pack)
    if touched.part is None:
        return
    yield from building.about_extraneous(touched.part.name)
    for node in touched.here:
        if building.by_conductor[node] == "unknown":
            yield from building.about_conductor(node)
        length = building.survey.lengths[node]
        yield from ask_keys([length.gaps.get("stands_inside") if length.stands_inside == "unknown" else None], pack)
