"""What is asked about the metal of a room: the fields of the description that leave it open."""

from collections.abc import Iterator, Sequence

from bondwright.evaluate.answer import Question
from bondwright.evaluate.reasoning.questions import questions_for
from bondwright.evaluate.rooms.touched import Touched
from bondwright.installation.rooms import Location
from bondwright.metalwork.lengths import asked
from bondwright.rulebook.pack import RulePack

_EXTRANEOUS = "extraneous"


def about_metal(location: Location, pointer: str, present: Sequence[Touched] | None, pack: RulePack) -> tuple[Question, ...]:
    """What decides whether an extraneous part can be touched."""
    if present is None:
        return tuple(_undescribed(location, pointer, "room_metalwork", pack))
    return tuple(dict.fromkeys(question for one in present if one.counts == "unknown" for question in _open(one, pack)))


def about_together(location: Location, pointer: str, present: Sequence[Touched] | None, pack: RulePack) -> tuple[Question, ...]:
    """What decides whether equipment can be touched together with other metal."""
    if present is None:
        return tuple(_undescribed(location, pointer, "equipment_together", pack))
    found: list[Question] = []
    for one in present:
        if one.case == "unknown":
            said = [("accessible", one.said.accessible), ("protected_as", getattr(one.said, "protected_as", "yes"))]
            said.append(("material", getattr(one.said, "material", "yes")))
            ask = pack.asks["equipment_together"]
            found += [Question("equipment_together", ask, f"{one.pointer}/{field}") for field, told in said if told == "unknown"]
    return tuple(dict.fromkeys((*found, *about_metal(location, pointer, present, pack))))


def _undescribed(location: Location, pointer: str, ask: str, pack: RulePack) -> Iterator[Question]:
    for field, told in (("services", location.services), ("items", location.items)):
        if told == "unknown":
            yield Question(ask, pack.asks[ask], f"{pointer}/{field}")


def _open(one: Touched, pack: RulePack) -> Iterator[Question]:
    if one.said.accessible == "unknown":
        yield Question("room_metalwork", pack.asks["room_metalwork"], f"{one.pointer}/accessible")
    if one.part is None:
        yield Question("room_metalwork", pack.asks["room_metalwork"], "/services")
    elif one.part.judged:
        yield from questions_for(one.part.subject, pack.outcomes[_EXTRANEOUS], pack)
        yield from one.part.subject.doubts
    yield from (Question(ask, pack.asks[ask], pointer) for ask, pointer in map(asked, one.brought_by))
