"""What was found out before, kept by what it depends on: the memory that whoever makes the whole gives to those who ask twice."""

from collections.abc import Callable, Hashable
from typing import Protocol, TypeVar, cast

Remembered = TypeVar("Remembered")


class Memory(Protocol):
    """Keeps answers by key. A key names all that its answer depends on, the digest of the pack first, and a word for the kind of answer."""

    def get(self, key: Hashable) -> object | None:
        """What was put under that key, or nothing: it never was, or it is forgotten."""
        ...

    def put(self, key: Hashable, value: object) -> None:
        """Keeps `value`, which nobody may change afterwards, until it is forgotten."""
        ...


class Kept:
    """A memory that forgets nothing: for proofs and tests, which end."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, object] = {}

    def __len__(self) -> int:
        """How many answers are kept."""
        return len(self._kept)

    def get(self, key: Hashable) -> object | None:
        """See Memory."""
        return self._kept.get(key)

    def put(self, key: Hashable, value: object) -> None:
        """See Memory."""
        self._kept[key] = value


def remembered(memory: Memory, key: Hashable, make: Callable[[], Remembered]) -> Remembered:
    """What is kept under the key; what `make` gives, which is never None, if nothing is, and from then on."""
    found = memory.get(key)
    if found is None:
        found = make()
        memory.put(key, found)
    return cast("Remembered", found)
