"""`bondwright keys`: the keys that callers of the API show."""

import re
import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta

import orjson

from bondwright.access.keys import SCOPES, Key
from bondwright.assembly import Keyring, build_keyring
from bondwright.audit.keys import COLUMNS, row_of
from bondwright.cli.arguments import add_data, add_format, asked_settings, tenant_name
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.errors import UnknownName

_WHERE = "BONDWRIGHT_DATABASE, as its owner, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright"
_LONGEST_LABEL = 64
_MOST_DAYS = 3650
_USUAL = timedelta(days=365)
_WHOLE = re.compile("[0-9]{1,4}")


def add_keys(group: ArgumentParser) -> None:
    """Gives the command what it can do."""
    acts = group.add_subparsers(title="acts", metavar="ACT", required=True)
    create = acts.add_parser("create", help="make a key; it is printed once and kept nowhere", allow_abbrev=False)
    create.add_argument("--tenant", required=True, type=tenant_name, help="whose records it opens: small letters, digits, hyphens")
    create.add_argument(
        "--scope", required=True, type=_scopes, metavar="SCOPES", help=f"what it is for: {','.join(SCOPES)}, or some of them"
    )
    create.add_argument("--label", default="", type=_label, help="words of your own, such as where it is used")
    _add_end(create, "it")
    create.set_defaults(run=_create)
    shown = acts.add_parser("list", help="every key: whose, for what, until when, last used", allow_abbrev=False)
    shown.set_defaults(run=_list)
    rotate = acts.add_parser("rotate", help="make a key in place of another, which stays good for a while", allow_abbrev=False)
    rotate.add_argument("key_id", metavar="KEY_ID", help="the second part of a key")
    rotate.add_argument(
        "--overlap-days",
        type=_overlap,
        default=timedelta(days=7),
        metavar="DAYS",
        help="how long the old one stays good (default: 7; 0 ends it at once)",
    )
    _add_end(rotate, "the new one")
    rotate.set_defaults(run=_rotate)
    revoke = acts.add_parser("revoke", help="end a key at once", allow_abbrev=False)
    revoke.add_argument("key_id", metavar="KEY_ID", help="the second part of a key")
    revoke.set_defaults(run=_revoke)
    for act in (create, shown, rotate, revoke):
        add_data(act, _WHERE)
    add_format(shown)


def _add_end(command: ArgumentParser, what: str) -> None:
    """Adds what says until when a key is good: days, or by name that it never expires."""
    ends = command.add_mutually_exclusive_group()
    ends.add_argument(
        "--days", type=_days, default=_USUAL, metavar="DAYS", help=f"how long {what} is good, 1 to {_MOST_DAYS} (default: {_USUAL.days})"
    )
    ends.add_argument(
        "--never-expires", dest="days", action="store_const", const=None, default=_USUAL, help=f"{what} is good until it is revoked"
    )


def _create(asked: Namespace) -> int:
    with closing(build_keyring(asked_settings(asked))) as keyring:
        _print_new(*keyring.create(asked.tenant, asked.scope, asked.label, asked.days))
    return DONE


def _list(asked: Namespace) -> int:
    with closing(build_keyring(asked_settings(asked), to_read=True)) as keyring:
        keys = keyring.all_keys()
    if asked.format == "json":
        print(orjson.dumps([_shown(key) for key in keys]).decode())
        return DONE
    for key in keys:
        print("  ".join(f"{name} {value}" for name, value in _shown(key).items() if value))
    return DONE


def _rotate(asked: Namespace) -> int:
    def rotate(keyring: Keyring) -> None:
        _print_new(*keyring.rotate(asked.key_id, asked.overlap_days, asked.days))

    return _with_known_key(asked, rotate)


def _revoke(asked: Namespace) -> int:
    def revoke(keyring: Keyring) -> None:
        keyring.revoke(asked.key_id)
        print(f"{asked.key_id}: revoked; a service that is running stops taking it within seconds")

    return _with_known_key(asked, revoke)


def _with_known_key(asked: Namespace, act: Callable[[Keyring], None]) -> int:
    with closing(build_keyring(asked_settings(asked))) as keyring:
        try:
            act(keyring)
        except UnknownName:
            print(f"{asked.key_id}: no key of this id; `bondwright keys list` shows them", file=sys.stderr)
            return WRONG_CALL
    return DONE


def _print_new(text: str, key: Key) -> None:
    print(text)
    until = f"until {key.expires_at}" if key.expires_at else "until it is revoked"
    print(f"key {key.key_id} of {key.tenant} for {', '.join(sorted(key.scopes))}, {until}; keep it, it is not shown again", file=sys.stderr)


def _shown(key: Key) -> dict[str, str | None]:
    values = dict(zip(COLUMNS, row_of(key), strict=True))
    return {name: value for name, value in values.items() if name != "secret_digest"}


def _scopes(text: str) -> frozenset[str]:
    asked = frozenset(text.split(","))
    if not asked <= SCOPES.keys():
        raise ArgumentTypeError(f"scopes are {', '.join(SCOPES)}, with commas between")
    return asked


def _label(text: str) -> str:
    if len(text) > _LONGEST_LABEL or not text.isprintable():
        raise ArgumentTypeError(f"a label has {_LONGEST_LABEL} printable signs at most")
    return text


def _days(text: str) -> timedelta:
    if not _WHOLE.fullmatch(text) or not 1 <= int(text) <= _MOST_DAYS:
        raise ArgumentTypeError(f"days are a whole number from 1 to {_MOST_DAYS}; for a key that never expires write --never-expires")
    return timedelta(days=int(text))


def _overlap(text: str) -> timedelta:
    if not _WHOLE.fullmatch(text) or int(text) > _MOST_DAYS:
        raise ArgumentTypeError(f"days are a whole number from 0 to {_MOST_DAYS}")
    return timedelta(days=int(text))
