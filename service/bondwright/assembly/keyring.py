"""Who a caller is, by the key that was shown; and keys made and ended."""

import logging
import secrets
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from threading import Lock

from msgspec import Struct

from bondwright.access.keys import Caller, Key, opens, read_key, write_key
from bondwright.audit.keys import KeyStore
from bondwright.errors import BondwrightError, KeyRefused, UnknownName

REMEMBERED_S = 5.0
"""How long what is kept of a key is taken for true before the store is asked again: a revoked key opens for this long at the most."""

_USE_TOLD_AFTER = timedelta(minutes=1)
_KEY_BYTES = 40
_MOST_REMEMBERED = 10_000
_log = logging.getLogger(__name__)


class _Seen(Struct, frozen=True):
    key: Key
    until: datetime


class Keyring:
    """Opens the store of keys when it is first needed. May be shared between threads; close it at the end."""

    def __init__(
        self,
        open_keys: Callable[[], KeyStore],
        *,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        chance: Callable[[int], bytes] = secrets.token_bytes,
    ) -> None:
        self._open_keys, self._clock, self._chance = open_keys, clock, chance
        self._lock = Lock()
        self._opened: KeyStore | None = None
        self._seen: dict[str, _Seen] = {}
        self._told: dict[str, datetime] = {}
        self._teller = ThreadPoolExecutor(1, "key-use")

    def caller(self, text: str) -> Caller:
        """Whoever shows this key. Raises: KeyRefused; RecordBroken."""
        return self._caller(text, self._key)

    def remembered(self, text: str) -> Caller | None:
        """The same without asking the store; none, where that would have to be asked. Raises: KeyRefused."""
        with suppress(UnknownName):
            return self._caller(text, self._seen_key)
        return None

    def _caller(self, text: str, find: Callable[[str, datetime], Key]) -> Caller:
        read = read_key(text)
        if read is None:
            raise KeyRefused("no key, or a mistyped one")
        key_id, secret_digest = read
        now = self._clock()
        key = find(key_id, now)
        if not opens(key, secret_digest, _written(now)):
            raise KeyRefused("the key opens nothing")
        self._tell(key_id, now)
        return Caller(key.tenant, key.scopes, key_id)

    def create(self, tenant: str, scopes: Iterable[str], label: str = "", lasts: timedelta | None = None) -> tuple[str, Key]:
        """A new key, in the only form in which it is ever seen, and what is kept of it. Raises: RecordBroken.

        `lasts`: how long it is good; none, until it is revoked.
        """
        text, key_id, digest = write_key(self._chance(_KEY_BYTES))
        now = self._clock()
        key = Key(key_id, tenant, frozenset(scopes), label, digest, _written(now), _written(now + lasts) if lasts is not None else None)
        self._keys().add(key)
        return text, key

    def rotate(self, key_id: str, overlap: timedelta, lasts: timedelta | None = None) -> tuple[str, Key]:
        """A new key for the same tenant and scopes; the old one is good for `overlap` more. Raises: UnknownName, RecordBroken."""
        old = self._keys().get(key_id)
        new = self.create(old.tenant, old.scopes, old.label, lasts)
        self._keys().expire(key_id, _written(self._clock() + overlap))
        return new

    def revoke(self, key_id: str) -> None:
        """Nothing, once the key opens nothing any more: here at once, elsewhere after REMEMBERED_S. Raises: UnknownName, RecordBroken."""
        self._keys().revoke(key_id, _written(self._clock()))
        with self._lock:
            self._seen.pop(key_id, None)

    def all_keys(self) -> tuple[Key, ...]:
        """Every key, by tenant and time of making. Raises: RecordBroken."""
        return self._keys().all_keys()

    def close(self) -> None:
        """Nothing, once every use is told and the store is closed."""
        self._teller.shutdown()
        with self._lock:
            if self._opened is not None:
                self._opened.close()

    def _seen_key(self, key_id: str, now: datetime) -> Key:
        with self._lock:
            seen = self._seen.get(key_id)
        if seen is None or now >= seen.until:
            raise UnknownName("key", key_id)
        return seen.key

    def _key(self, key_id: str, now: datetime) -> Key:
        with suppress(UnknownName):
            return self._seen_key(key_id, now)
        try:
            key = self._keys().get(key_id)
        except UnknownName:
            raise KeyRefused("the key opens nothing") from None
        with self._lock:
            if len(self._seen) >= _MOST_REMEMBERED:
                self._seen.clear()
            self._seen[key_id] = _Seen(key, now + timedelta(seconds=REMEMBERED_S))
        return key

    def _tell(self, key_id: str, now: datetime) -> None:
        """Keeps that the key was used, at most once a minute, while the request goes on."""
        with self._lock:
            if key_id in self._told and now < self._told[key_id] + _USE_TOLD_AFTER:
                return
            self._told[key_id] = now
        self._teller.submit(self._keep_use, key_id, _written(now))

    def _keep_use(self, key_id: str, at: str) -> None:
        try:
            self._keys().used(key_id, at)
        except BondwrightError as error:
            _log.warning("not kept that key %s was used: %s", key_id, error)

    def _keys(self) -> KeyStore:
        with self._lock:
            if self._opened is None:
                self._opened = self._open_keys()
            return self._opened


def _written(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
