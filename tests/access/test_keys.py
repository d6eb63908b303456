"""Keys: written so that a lost one is found and a mistyped one is told, kept only as a digest, good only as long as they should be."""

import base64
import hashlib
import re
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.access.keys import Key, opens, read_key, write_key
from bondwright.members import replace

CHANCE = st.binary(min_size=40, max_size=40)
KEY = Key("k1", "ours", frozenset({"read"}), "", "0" * 64, "2026-11-25T09:30:00.000Z")


@given(CHANCE)
def test_a_key_reads_as_it_was_written(chance: bytes) -> None:
    text, key_id, digest = write_key(chance)

    assert read_key(text) == (key_id, digest)


@given(CHANCE, CHANCE)
def test_different_chance_gives_different_keys(one: bytes, other: bytes) -> None:
    assert (write_key(one) == write_key(other)) == (one == other)


def test_a_key_is_made_as_its_parts_say() -> None:
    chance = bytes(range(40))

    text, key_id, digest = write_key(chance)

    secret = base64.b32encode(chance[8:]).decode().rstrip("=").lower()
    beginning = f"bondwright_{base64.b32encode(chance[:8]).decode().lower()[:12]}_{secret}"
    check = base64.b32encode(zlib.crc32(beginning.encode()).to_bytes(4)).decode().rstrip("=").lower()
    assert (text, key_id) == (f"{beginning}_{check}", beginning.split("_")[1])
    assert digest == hashlib.sha256(secret.encode()).hexdigest()
    assert re.fullmatch(r"bondwright_[a-z2-7]{12}_[a-z2-7]{52}_[a-z2-7]{7}", text)


@given(CHANCE, st.data())
def test_a_key_with_one_wrong_letter_is_no_key(chance: bytes, data: st.DataObject) -> None:
    text, _, _ = write_key(chance)
    place = data.draw(st.integers(0, len(text) - 1))
    wrong = data.draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz234567_A1é ").filter(lambda sign: sign != text[place]))

    assert read_key(text[:place] + wrong + text[place + 1 :]) is None


@given(st.text())
def test_any_other_text_is_no_key(text: str) -> None:
    assert read_key(text) is None


@pytest.mark.parametrize(
    ("key", "digest", "now", "is_opened"),
    [
        (KEY, "0" * 64, "2030-01-01T00:00:00.000Z", True),
        (KEY, "1" * 64, "2026-11-25T10:00:00.000Z", False),
        (replace(KEY, expires_at="2026-12-01T00:00:00.000Z"), "0" * 64, "2026-11-30T23:59:59.999Z", True),
        (replace(KEY, expires_at="2026-12-01T00:00:00.000Z"), "0" * 64, "2026-12-01T00:00:00.000Z", False),
        (replace(KEY, revoked_at="2026-11-26T00:00:00.000Z"), "0" * 64, "2026-11-25T10:00:00.000Z", False),
    ],
)
def test_only_the_right_secret_opens_while_the_key_is_good(key: Key, digest: str, now: str, is_opened: bool) -> None:
    assert opens(key, digest, now) == is_opened


def test_a_key_never_shows_its_digest() -> None:
    assert "0" * 64 not in repr(KEY)
