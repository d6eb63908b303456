"""`bondwright replay`: a recorded evaluation, or all of them, worked out again and compared."""

import sys
from argparse import ArgumentParser, Namespace
from collections import Counter
from contextlib import closing
from dataclasses import asdict

import orjson

from bondwright.assembly import Bondwright, build
from bondwright.audit.comparing.difference import DIFFERENT, NOT_COMPARABLE, SAME, Replay
from bondwright.audit.indexed import WronglyIndexed
from bondwright.audit.walk import Unreadable
from bondwright.cli.arguments import add_data, add_format, add_tenant, asked_settings
from bondwright.cli.statuses import DONE, WANTING, WRONG_CALL
from bondwright.errors import UnknownName

_SOUND = ("same", "same levels")
_KINDS = (*_SOUND, "different", "not evaluated", "broken")
_LONGEST = 200
_STEP = 100


def add_replay(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    command.add_argument("evaluation_id", metavar="ID", nargs="?", help="id of a recorded evaluation")
    command.add_argument(
        "--all", action="store_true", help="replay every record and check what it is found by; what is wrong is printed as it is found"
    )
    add_tenant(command)
    add_format(command)
    add_data(command, "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright")
    command.set_defaults(run=_replay)


def _replay(asked: Namespace) -> int:
    if asked.all == (asked.evaluation_id is not None):
        print("bondwright replay: name one evaluation, or write --all", file=sys.stderr)
        return WRONG_CALL
    with closing(build(asked_settings(asked), to_read=True)) as bondwright:
        if asked.all:
            bondwright.demand_records(asked.tenant)
            return _replay_all(bondwright, asked.tenant, asked.format)
        try:
            replay = bondwright.replay(asked.evaluation_id, asked.tenant)
        except UnknownName:
            print(
                f"{asked.evaluation_id}: no evaluation of this id is recorded here; --data names the folder, --tenant whose it is",
                file=sys.stderr,
            )
            return WRONG_CALL
    print(orjson.dumps(asdict(replay)).decode() if asked.format == "json" else _told(replay))
    return DONE if replay.is_sound else WANTING


def _replay_all(bondwright: Bondwright, tenant: str, how: str) -> int:
    counts: Counter[str] = Counter()
    wrongly_indexed = 0
    for one, indexed in bondwright.replay_all(tenant):
        kind = _kind(one)
        counts[kind] += 1
        if kind not in _SOUND:
            print(orjson.dumps({"kind": kind, **asdict(one)}).decode() if how == "json" else _told(one), flush=True)
        if indexed is not None:
            wrongly_indexed += 1
            print(orjson.dumps({"kind": "wrongly indexed", **asdict(indexed)}).decode() if how == "json" else _told(indexed), flush=True)
        if counts.total() % _STEP == 0:
            print(f"{counts.total()} replayed", file=sys.stderr)
    counted = {kind.replace(" ", "_"): counts[kind] for kind in _KINDS}
    total = {"replayed": counts.total(), **counted, "wrongly_indexed": wrongly_indexed}
    words = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in counted.items())
    told = f"{counts.total()} records replayed: {words}; {wrongly_indexed} wrongly indexed."
    print(orjson.dumps(total).decode() if how == "json" else told)
    return DONE if sum(counts[kind] for kind in _SOUND) == counts.total() and not wrongly_indexed else WANTING


def _kind(one: Replay | Unreadable) -> str:
    if isinstance(one, Unreadable):
        return "broken"
    if one.not_evaluated is not None:
        return "not evaluated"
    if not one.is_sound:
        return "different"
    return "same" if one.same_bytes == SAME else "same levels"


def _told(one: Replay | Unreadable | WronglyIndexed) -> str:
    if isinstance(one, Unreadable):
        return f"{one.evaluation_id or f'record {one.counter}'}: broken: {one.why}"
    if isinstance(one, WronglyIndexed):
        marks = [*(f"missing: {mark}" for mark in one.missing), *(f"too much: {mark}" for mark in one.too_much)]
        return "\n  ".join([f"{one.evaluation_id}: wrongly indexed", *marks])
    if one.not_evaluated is not None:
        lines = [f"{one.evaluation_id}: not evaluated: {one.not_evaluated}"]
    elif one.difference is not None:
        found = one.difference
        lines = [f"{one.evaluation_id}: different at {found.pointer or 'the whole answer'}", f"  was  {_short(found.was)}"]
        lines += [f"  now  {_short(found.now)}"]
        if one.same_bytes == DIFFERENT and one.same_levels:
            lines.append("  every level and size is the same")
    elif one.same_bytes == NOT_COMPARABLE:
        lines = [f"{one.evaluation_id}: the same in every level and size, by rule pack {one.pack_id}"]
    else:
        lines = [f"{one.evaluation_id}: the same, byte for byte, by rule pack {one.pack_id}"]
    if one.same_bytes == NOT_COMPARABLE:
        lines.append(f"  an answer of form {one.form_then}, which no answer of form {one.form_now} can be compared with byte for byte")
    if one.versions_then != one.versions_now:
        then, now = (", ".join(f"{name} {version}" for name, version in some.items()) for some in (one.versions_then, one.versions_now))
        lines.append(f"  answered by {then}; replayed by {now}")
    if one.withdrawn:
        lines.append(f"  {one.withdrawn.sentence()}")
    if one.published_since:
        lines.append(f"  usable on the day of the work and published since: {', '.join(one.published_since)}")
    if one.not_at_hand:
        lines.append(f"  named in the answer but not at hand, so taken as it stands: {', '.join(one.not_at_hand)}")
    return "\n".join(lines)


def _short(value: str | None) -> str:
    if value is None:
        return "nothing"
    return value if len(value) <= _LONGEST else f"{value[:_LONGEST]}…"
