"""How many evaluations each key may ask for: an allowance that fills up evenly and is spent as they come."""

from collections.abc import Callable
from math import ceil
from threading import Lock

from msgspec import Struct

from bondwright.errors import QuotaSpent

WINDOW_S = 60
"""In which an empty allowance fills up again."""

_MOST_KEYS = 100_000


class Allowance(Struct, frozen=True):
    """What a key has left: `remaining` of `per_minute`, and in how many seconds it has all again."""

    per_minute: int
    remaining: int
    full_in_s: int


class Quota:
    """The allowances of all keys, in this process; may be shared between threads.

    Work that counts as more than is left is let in whole while anything is left, and what it takes too much is waited for afterwards:
    a large batch is neither refused for ever nor free.
    """

    def __init__(self, per_minute: int, clock: Callable[[], float]) -> None:
        """`per_minute`: evaluations, 1 or more. `clock`: seconds that only grow."""
        self._per_minute, self._clock = per_minute, clock
        self._lock = Lock()
        self._left: dict[str, tuple[float, float]] = {}

    def spend(self, key_id: str, evaluations: int) -> Allowance:
        """What is left once so many are let in. Raises: QuotaSpent, if nothing was left."""
        now = self._clock()
        with self._lock:
            if len(self._left) >= _MOST_KEYS:
                self._forget_full(now)
            left = self._left_now(key_id, now)
            self._check(left)
            left -= evaluations
            self._left[key_id] = (left, now)
        return self._told(left)

    def left(self, key_id: str) -> Allowance:
        """What is left, with nothing taken of it."""
        with self._lock:
            return self._told(self._left_now(key_id, self._clock()))

    def demand_left(self, key_id: str) -> None:
        """Nothing, while `spend` would let something in. Raises: QuotaSpent."""
        with self._lock:
            self._check(self._left_now(key_id, self._clock()))

    def _check(self, left: float) -> None:
        if left < 1:
            raise QuotaSpent(ceil((1 - left) * WINDOW_S / self._per_minute), self._per_minute)

    def _left_now(self, key_id: str, now: float) -> float:
        left, at = self._left.get(key_id, (float(self._per_minute), now))
        return min(float(self._per_minute), left + (now - at) * self._per_minute / WINDOW_S)

    def _told(self, left: float) -> Allowance:
        return Allowance(self._per_minute, max(0, int(left)), ceil((self._per_minute - left) * WINDOW_S / self._per_minute))

    def _forget_full(self, now: float) -> None:
        self._left = {key_id: kept for key_id, kept in self._left.items() if self._left_now(key_id, now) < self._per_minute}
