"""Requests in progress, by whose they are and what they cost: no tenant leaves another without room.

A tenant may have as many in progress as are left free: alone half of all, two of them a third each. So whoever comes anew finds room,
however much others ask for. What they cost together is bounded too, until the last byte of the answers is sent: these lie in memory.
"""

from collections import Counter
from math import ceil
from typing import Any

from starlette.requests import Request
from starlette.types import Scope

from bondwright.errors import Crowded

RETRY_S = 1
"""After which there may be room again."""

_PRICES_A_SECOND = 250
_MOST_PRICES = 2
_STAYING, _TENANT, _PRICE = "staying", "staying_of", "staying_for"


def stay(request: Request, tenant: str) -> None:
    """Nothing, once it is known whose request this is. Raises: Crowded, if that tenant has so many in progress that no room is left."""
    if (staying := getattr(request.state, _STAYING, None)) is not None:
        staying.of_tenant(request.scope, tenant)


def hold(request: Request, tenant: str, price: int) -> None:
    """Nothing, once it is known what the request costs. Raises: Crowded, if what the tenant has under way costs too much already."""
    if (staying := getattr(request.state, _STAYING, None)) is not None:
        staying.hold(request.scope, tenant, price)


class Staying:
    """Counts requests in progress; whoever it counts twice says so in the state of the request."""

    def __init__(self, most_at_once: int, most_price: int) -> None:
        """`most_price`: what one request may cost; a tenant may have twice as much under way."""
        self._most_at_once, self._most_held = most_at_once, _MOST_PRICES * most_price
        self._in_progress = 0  # INVARIANT: touched by the event loop's thread alone
        self._of: Counter[str] = Counter()
        self._held: Counter[str] = Counter()

    @property
    def is_full(self) -> bool:
        """Whether no other may begin."""
        return self._in_progress >= self._most_at_once

    @property
    def is_over(self) -> bool:
        """Whether more are in progress than may be, for some of them came back from waiting."""
        return self._in_progress > self._most_at_once

    def begin(self, scope: Scope) -> None:
        """Counts a request."""
        scope.setdefault("state", {})[_STAYING] = self
        self.count(scope, 1)

    def of_tenant(self, scope: Scope, tenant: str) -> None:
        """Counts it as that tenant's. Raises: Crowded."""
        if self._of[tenant] >= max(1, self._most_at_once - self._in_progress):
            raise Crowded(RETRY_S)
        scope["state"][_TENANT] = tenant
        self._of[tenant] += 1

    def hold(self, scope: Scope, tenant: str, price: int) -> None:
        """Counts what it costs; whatever that is, one may be under way. Raises: Crowded."""
        if (held := self._held[tenant]) and held + price > self._most_held:
            raise Crowded(ceil(held / _PRICES_A_SECOND))
        scope["state"][_PRICE] = (tenant, price)
        self._held[tenant] += price

    def end(self, scope: Scope) -> None:
        """Counts it no longer."""
        self.count(scope, -1)
        if held := scope["state"].get(_PRICE):
            _less(self._held, *held)

    def count(self, scope: Scope, more: int) -> None:
        """One more in progress, or one less."""
        self._in_progress += more
        if (tenant := scope["state"].get(_TENANT)) is not None:
            _less(self._of, tenant, -more)


def _less(counter: Counter[str], name: str, less: Any) -> None:
    counter[name] -= less
    if not counter[name]:
        del counter[name]
