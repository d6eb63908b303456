"""`bondwright impact`: which recorded verdicts would change if a pack were published."""

import sys
import time
from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import orjson

from bondwright.assembly import Impact, build
from bondwright.audit.record import Summary
from bondwright.cli.arguments import add_data, add_format, add_tenant, asked_settings
from bondwright.cli.recorded.pace import pace
from bondwright.cli.signals import hearing
from bondwright.cli.statuses import DONE, STOPPED, WRONG_CALL
from bondwright.errors import UnusableProgress
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, load_pack, rules_folder
from bondwright.shelf.words.shelved import with_words

_TOLD_EVERY_S = 2.0


def add_impact(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    command.add_argument("--pack", metavar="CANDIDATE", required=True, help="the file of a pack, or a draft edition such as bs7671/2018-a4")
    command.add_argument("--progress", metavar="FILE", type=Path, help="keep progress in this file, and go on from it if it is there")
    add_tenant(command)
    add_format(command)
    add_data(command, "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright")
    command.set_defaults(run=_impact)


def _candidate(name: str) -> RulePack:
    """The words of a file stand beside it, or behind it. Raises: UnreadableRules; OSError, if there is neither file nor edition."""
    path = Path(name)
    if not path.is_file() and (rules_folder() / f"{name}.yaml").is_file():
        return draft_pack(rules_folder(), name)
    return load_pack(with_words(path.read_bytes(), path.parent, path.name), name)


def _impact(asked: Namespace) -> int:
    try:
        pack = _candidate(asked.pack)
    except OSError as error:
        print(f"{asked.pack}: cannot be read ({error.strerror}); name the file of a pack, or a draft edition", file=sys.stderr)
        return WRONG_CALL
    with closing(build(asked_settings(asked), candidate=pack, to_read=True)) as bondwright, hearing() as heard:
        if withdrawal := bondwright.withdrawn.get(pack.pack_id):
            print(f"{asked.pack}: {withdrawal.sentence()}; name that", file=sys.stderr)
            return WRONG_CALL
        bondwright.demand_records(asked.tenant)
        try:
            impact = bondwright.impact(pack, asked.progress, _Watch(heard), asked.tenant)
        except UnusableProgress as error:
            print(error, file=sys.stderr)
            return WRONG_CALL
        resting = list(bondwright.resting_on_withdrawn(asked.tenant))
    if heard and impact.done < impact.of:
        way_on = "the same call goes on from there" if asked.progress else "without --progress nothing of it is kept"
        print(f"stopped after {impact.done:,} of {impact.of:,} records; {way_on}", file=sys.stderr)
        return STOPPED + heard[0]
    print(_json(pack, impact, resting) if asked.format == "json" else _text(pack, impact, resting))
    return DONE


class _Watch:
    """Says on standard error how far it is, now and then, and that it is to go on until a signal was heard."""

    def __init__(self, heard: list[int]) -> None:
        self._heard = heard
        self._done_before: int | None = None
        self._begun = self._told = 0.0

    def __call__(self, done: int, of: int) -> bool:
        now = time.monotonic()
        if self._done_before is None:
            self._done_before, self._begun = done, now
        if now - self._told >= _TOLD_EVERY_S:
            print(pace(done, of, self._done_before, now - self._begun), file=sys.stderr)
            self._told = now
        return not self._heard


def _json(pack: RulePack, impact: Impact, resting: Sequence[Summary]) -> str:
    told = {"pack_id": pack.pack_id, "pack_digest": pack.digest, **impact.tally.values(), "rests_on_withdrawn": resting}
    return orjson.dumps(told).decode()


def _text(pack: RulePack, impact: Impact, resting: Sequence[Summary]) -> str:
    records, examples = impact.tally.records, impact.tally.examples
    lines = [
        f"Records that {pack.pack_id} would judge: {records['judged']}, of which {records['changed']} would change.",
        f"Others would be judged by another pack: {records['not_touched']}; could not be evaluated: {records['not_evaluated']}.",
    ]
    for kind, count in sorted(impact.tally.changes.items()):
        lines.append(f"{kind[0]}: {kind[1]}: {count}")
        lines += [f"  {one}  {change.subject}: {change.was or 'nothing'} -> {change.now or 'nothing'}" for one, change in examples[kind]]
    if resting:
        lines.append(f"Answers that rest on a withdrawn rule pack: {len(resting)}")
        lines += [f"  {one.evaluation_id}  {one.pack_id}: {one.reference or 'without a reference'}, work of {one.day}" for one in resting]
    return "\n".join(lines)
