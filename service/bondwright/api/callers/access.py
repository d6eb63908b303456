"""Who is asking and whether they may: Bearer keys (RFC 6750), a scope for each operation."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Annotated, Any, TypeAlias

from fastapi import Depends, FastAPI, Request
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer

from bondwright.access.keys import SCOPES, Caller
from bondwright.api.callers.staying import stay
from bondwright.assembly import TENANT, Keyring
from bondwright.errors import KeyRefused, ScopeMissing

_BEARER = HTTPBearer(
    scheme_name="key",
    description="A key that the operator made, as `Authorization: Bearer KEY`. Each operation says which scope the key must have.",
    auto_error=False,
)
_EVERYONE = Caller(TENANT, frozenset(SCOPES))

Credentials: TypeAlias = Annotated[HTTPAuthorizationCredentials | None, Depends(_BEARER)]


def keep_access(app: FastAPI, keyring: Keyring | None) -> None:
    """Makes `app` ask for keys of this ring; with none, everyone may do everything, as the tenant `local`."""
    app.state.keyring = keyring


def may(scope: str) -> Any:
    """The dependency of an operation that needs `scope`; it gives the Caller. Raises: KeyRefused, ScopeMissing, RecordBroken."""

    async def caller(request: Request, credentials: Credentials) -> Caller:
        return await _permitted(request, credentials, scope)

    asks: Callable[..., Awaitable[Caller]] = caller
    return Depends(asks)


async def caller_of(request: Request, scope: str) -> Caller:
    """The same for a route that is answered by hand, see `by_hand`."""
    return await _permitted(request, await _BEARER(request), scope)


async def _permitted(request: Request, credentials: HTTPAuthorizationCredentials | None, scope: str) -> Caller:
    keyring: Keyring | None = request.app.state.keyring
    if keyring is None:
        stay(request, _EVERYONE.tenant)
        return _EVERYONE
    if credentials is None:
        raise KeyRefused("no key was shown")
    # The store is asked off the event loop: it may be a database on another machine.
    found = keyring.remembered(credentials.credentials)
    if found is None:
        found = await asyncio.to_thread(keyring.caller, credentials.credentials)
    if scope not in found.scopes:
        raise ScopeMissing(scope)
    stay(request, found.tenant)
    request.state.caller = found
    return found
