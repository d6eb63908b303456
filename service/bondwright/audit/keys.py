"""What every store of keys promises. Keys stand beside the records that they open, in the same database."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Protocol

from bondwright.access.keys import Key


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


def row_of(key: Key) -> tuple[str | None, ...]:
    """The values of a key, in the order of COLUMNS."""
    return tuple(" ".join(sorted(key.scopes)) if name == "scopes" else getattr(key, name) for name in COLUMNS)


def key_of(row: Sequence[Any]) -> Key:
    """The key of a row."""
    values = dict(zip(COLUMNS, row, strict=True))
    return Key(**(values | {"scopes": frozenset(values["scopes"].split())}))
