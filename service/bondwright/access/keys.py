"""Keys of callers: how a key is written, what is kept of it, what it allows."""

import base64
import hashlib
import hmac
import re
import zlib
from dataclasses import dataclass, field

from msgspec import Struct

SCOPES = {
    "evaluate": "evaluate installations, one at a time or in batches, and calculate",
    "read": "find evaluations and read them again",
    "audit": "read whole records and replay them",
    "rules": "read rule packs and their rules",
}
"""What a key may be for, in words."""

_KEY = re.compile(r"(bondwright_([a-z2-7]{12})_([a-z2-7]{52}))_([a-z2-7]{7})")
_ID_BYTES, _SECRET_BYTES = 8, 32


@dataclass(frozen=True, slots=True)
class Key:
    """What is kept of a key: never the key itself.

    `secret_digest`: SHA-256 of its secret, in hex. `label`: the operator's own words. Times are UTC, as `2026-11-25T09:30:00.000Z`;
    `expires_at` and `revoked_at` are none while they do not apply.
    """

    key_id: str
    tenant: str
    scopes: frozenset[str]
    label: str
    secret_digest: str = field(repr=False)
    created_at: str
    expires_at: str | None = None
    revoked_at: str | None = None
    last_used_at: str | None = None

    def is_good(self, now: str) -> bool:
        """Whether it opens anything at `now`, written as its own times are."""
        return self.revoked_at is None and (self.expires_at is None or now < self.expires_at)


class Caller(Struct, frozen=True):
    """Whoever sent a request. `key_id` is none where no keys are asked for."""

    tenant: str
    scopes: frozenset[str]
    key_id: str | None = None


def write_key(chance: bytes) -> tuple[str, str, str]:
    """A new key, its id and the digest of its secret, made of 40 random bytes.

    A key is `bondwright_ID_SECRET_CHECK`: letters and digits that survive being read aloud, a beginning that searches for lost keys can
    look for, and a checksum (CRC-32, RFC 1952) that tells a mistyped key from a strange one without asking any store.
    """
    if len(chance) != _ID_BYTES + _SECRET_BYTES:
        raise ValueError(f"a key is made of {_ID_BYTES + _SECRET_BYTES} random bytes")
    key_id, secret = _text(chance[:_ID_BYTES])[:12], _text(chance[_ID_BYTES:])
    beginning = f"bondwright_{key_id}_{secret}"
    return f"{beginning}_{_check(beginning)}", key_id, _digest(secret)


def read_key(text: str) -> tuple[str, str] | None:
    """Id, and digest of the secret, of a key as it was sent; none, if that is no key or is mistyped."""
    found = _KEY.fullmatch(text)
    if found is None or _check(found[1]) != found[4]:
        return None
    return found[2], _digest(found[3])


def opens(key: Key, secret_digest: str, now: str) -> bool:
    """Whether what was sent is that key, and it is good at `now`; how long this takes says nothing of the secret."""
    return hmac.compare_digest(key.secret_digest, secret_digest) and key.is_good(now)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _check(beginning: str) -> str:
    return _text(zlib.crc32(beginning.encode()).to_bytes(4))


def _text(content: bytes) -> str:
    return base64.b32encode(content).decode().rstrip("=").lower()
