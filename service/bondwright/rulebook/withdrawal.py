"""Published rule packs that judge nothing any more."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from bondwright.rulebook.pack import PackHead

Head = TypeVar("Head", bound=PackHead)


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """A published pack that is withdrawn: `reason` in a sentence, `since` which day, and the `successor` that stands in its place.

    What it answered stays on record and can be replayed; it answers nothing new.
    """

    pack_id: str
    reason: str
    since: date
    successor: str

    def sentence(self) -> str:
        """All of that in words, to be told to whoever asked for the pack."""
        return f"rule pack {self.pack_id} is withdrawn since {self.since} ({self.reason}); {self.successor} stands in its place"


def standing(pack: Head, among: Mapping[str, Head], withdrawn: Mapping[str, Withdrawal]) -> Head | None:
    """The pack, or where it is withdrawn its successor; none, if that is not `among` those that may judge, by pack_id."""
    return among.get(withdrawn[pack.pack_id].successor) if pack.pack_id in withdrawn else pack
