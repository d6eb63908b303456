"""What an answer lists beside its subjects: the plan, like parts under one line, and why to keep off."""

from dataclasses import dataclass

from bondwright.said import Sentence, SentenceIfAny


@dataclass(frozen=True, slots=True)
class Connection:
    """One new main bonding connection of the plan."""

    part: str
    place: SentenceIfAny
    size: Sentence


@dataclass(frozen=True, slots=True)
class Plan:
    """The bonding plan: new connections, parts already bonded, parts covered by the connections of others."""

    connections: tuple[Connection, ...]
    bonded: tuple[str, ...]
    covered: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Like parts under one line."""

    mark: str
    line: Sentence
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeepOff:
    """Why to keep off before anything else is done. `why`: in words; `bonds`: places in the description of the bonds that call for it."""

    why: Sentence
    bonds: tuple[str, ...]
