"""What every store of keys promises. Keys stand beside the records that they open, in the same database."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import fields
from typing import Any, ClassVar, Protocol

from bondwright.access.keys import Key
from bondwright.errors import UnknownName


class KeyStore(Protocol):
    """Keeps keys: what they are for never changes, only whether and until when they are good.

    Every method may be called from any thread and raises RecordBroken when the store cannot be read or written.
    """

    def add(self, key: Key) -> None:
        """Nothing, once the key is kept durably. Raises: RecordBroken, if its id is taken."""

    def get(self, key_id: str) -> Key:
        """The key of that id. Raises: UnknownName."""

    def all_keys(self) -> tuple[Key, ...]:
        """Every key, by tenant and time of making."""

    def expire(self, key_id: str, at: str) -> None:
        """Nothing, once the key is good until `at` at the most; an earlier end stays. Raises: UnknownName."""

    def revoke(self, key_id: str, at: str) -> None:
        """Nothing, once the key is good no more, since `at`; an earlier revocation stays. Raises: UnknownName."""

    def used(self, key_id: str, at: str) -> None:
        """Nothing, once it is kept that the key was used at `at`, unless a later use is."""

    def close(self) -> None:
        """Nothing; closing again does nothing."""


COLUMNS = tuple(field.name for field in fields(Key))
"""What is kept of a key, in the order of its rows."""

_SELECT = f"SELECT {', '.join(COLUMNS)} FROM key"


def row_of(key: Key) -> tuple[str | None, ...]:
    """The values of a key, in the order of COLUMNS."""
    return tuple(" ".join(sorted(key.scopes)) if name == "scopes" else getattr(key, name) for name in COLUMNS)


def key_of(row: Sequence[Any]) -> Key:
    """The key of a row."""
    values = dict(zip(COLUMNS, row, strict=True))
    return Key(**(values | {"scopes": frozenset(values["scopes"].split())}))


class SqlKeys(ABC):
    """What the stores of keys have in common: their SQL. `place`: how the database writes the place of a value."""

    place: ClassVar[str]

    @abstractmethod
    def _run(self, sql: str, *values: object) -> list[Any]:
        """The rows that a statement gives, its values where it has `place`. Raises: RecordBroken."""

    def add(self, key: Key) -> None:
        """See KeyStore."""
        self._run(f"INSERT INTO key ({', '.join(COLUMNS)}) VALUES ({', '.join([self.place] * len(COLUMNS))})", *row_of(key))

    def get(self, key_id: str) -> Key:
        """See KeyStore."""
        rows = self._run(f"{_SELECT} WHERE key_id = {self.place}", key_id)
        if not rows:
            raise UnknownName("key", key_id)
        return key_of(rows[0])

    def all_keys(self) -> tuple[Key, ...]:
        """See KeyStore."""
        return tuple(key_of(row) for row in self._run(f"{_SELECT} ORDER BY tenant, created_at, key_id"))

    def expire(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self._set("expires_at", "expires_at >", self.get(key_id).key_id, at)

    def revoke(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self.get(key_id)
        self._run(f"UPDATE key SET revoked_at = {self.place} WHERE key_id = {self.place} AND revoked_at IS NULL", at, key_id)

    def used(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self._set("last_used_at", "last_used_at <", key_id, at)

    def _set(self, column: str, unless_not: str, key_id: str, at: str) -> None:
        where = f"key_id = {self.place} AND coalesce({unless_not} {self.place}, true)"
        self._run(f"UPDATE key SET {column} = {self.place} WHERE {where}", at, key_id, at)
