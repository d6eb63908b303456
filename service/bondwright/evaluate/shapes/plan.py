"""The bonding plan and the lines to read on site, as answers have them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Connection:
    """One new main bonding connection of the plan."""

    part: str
    place: str
    size: str


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
    line: str
    parts: tuple[str, ...]
