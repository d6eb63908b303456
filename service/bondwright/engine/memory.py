"""The memory of a service that runs for months: bounded, and shared by its threads."""

from collections import OrderedDict
from collections.abc import Hashable
from threading import Lock


class BoundedMemory:
    """A memory (see `rulebook.memory`) of at most `most` answers; for each one more the oldest is forgotten. 0: it keeps nothing."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = Lock()
        # A plain dict finds its oldest entry by walking over all the gaps that those before it left.
        self._kept: OrderedDict[Hashable, object] = OrderedDict()
        self._forgotten = 0

    def __len__(self) -> int:
        """How many answers are kept."""
        return len(self._kept)

    @property
    def forgotten(self) -> int:
        """How many answers had to make room so far."""
        return self._forgotten

    def get(self, key: Hashable) -> object | None:
        """What was put under that key, or nothing: it never was, or it is forgotten."""
        return self._kept.get(key)

    def put(self, key: Hashable, value: object) -> None:
        """Keeps `value`; under a key that is there already it takes the place, and the age, of what is."""
        if not self._most:
            return
        with self._lock:
            self._kept[key] = value
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
                self._forgotten += 1
