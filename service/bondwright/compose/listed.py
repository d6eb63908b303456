"""What an answer lists beside its subjects: the plan, like parts under one line, and why to keep off."""

from bondwright.members import Described
from bondwright.said import Sentence, SentenceIfAny


class Connection(Described, frozen=True):
    """One new main bonding connection of the plan."""

    part: str
    place: SentenceIfAny
    size: Sentence


class Plan(Described, frozen=True):
    """The bonding plan: new connections, parts already bonded, parts covered by the connections of others."""

    connections: tuple[Connection, ...]
    bonded: tuple[str, ...]
    covered: tuple[str, ...]


class Group(Described, frozen=True):
    """Like parts under one line."""

    mark: str
    line: Sentence
    parts: tuple[str, ...]


class KeepOff(Described, frozen=True):
    """Why to keep off before anything else is done. `why`: in words; `bonds`: places in the description of the bonds that call for it."""

    why: Sentence
    bonds: tuple[str, ...]
