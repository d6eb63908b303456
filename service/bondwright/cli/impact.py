"""`bondwright impact`: which recorded verdicts would change if a pack were published."""

import sys
from argparse import Namespace
from collections import Counter
from contextlib import closing
from pathlib import Path

import orjson

from bondwright.assembly import build
from bondwright.audit.impact import Change, changes
from bondwright.cli.arguments import Commands, add_data, add_format, asked_settings
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.errors import EngineDisagreement, RecordBroken, Refused
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, load_pack, rules_folder

_EXAMPLES = 3
_STEP = 100


def add_impact(commands: Commands) -> None:
    """Adds the command."""
    command = commands.add_parser("impact", help="which recorded verdicts a rule pack would change", allow_abbrev=False)
    command.add_argument("--pack", metavar="CANDIDATE", required=True, help="the file of a pack, or a draft edition such as bs7671/2018-a4")
    add_format(command)
    add_data(command, "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright")
    command.set_defaults(run=_impact)


def _candidate(name: str) -> RulePack:
    """Raises: UnreadableRules; OSError, if there is neither file nor edition."""
    path = Path(name)
    if not path.is_file() and (rules_folder() / f"{name}.yaml").is_file():
        return draft_pack(rules_folder(), name)
    return load_pack(path.read_bytes(), name)


def _impact(asked: Namespace) -> int:
    try:
        pack = _candidate(asked.pack)
    except OSError as error:
        print(f"{asked.pack}: cannot be read ({error.strerror}); name the file of a pack, or a draft edition", file=sys.stderr)
        return WRONG_CALL
    ladders = {name: outcome.levels for name, outcome in pack.outcomes.items()}
    records: Counter[str] = Counter({"judged": 0, "changed": 0, "same": 0, "not touched": 0, "not evaluated": 0})
    directions: Counter[tuple[str, str]] = Counter()
    examples: dict[tuple[str, str], list[tuple[str, Change]]] = {}
    with closing(build(asked_settings(asked), candidate=pack)) as bondwright:
        for number, evaluation_id in enumerate(bondwright.recorded_ids(), start=1):
            try:
                record, _ = bondwright.record(evaluation_id)
                evaluated = bondwright.evaluate(record.input_bytes)
            except (Refused, RecordBroken, EngineDisagreement):
                records["not evaluated"] += 1
                continue
            is_touched = evaluated.pack is pack
            found = changes(record.evaluation_bytes, evaluated.body, ladders) if is_touched else ()
            records["changed" if found else "same" if is_touched else "not touched"] += 1
            records["judged"] += is_touched
            for change in found:
                kind = (change.outcome, change.direction)
                directions[kind] += 1
                shown = examples.setdefault(kind, [])
                shown += [(evaluation_id, change)] if len(shown) < _EXAMPLES else []
            if number % _STEP == 0:
                print(f"{number} records looked at", file=sys.stderr)
    print(_json(pack, records, directions, examples) if asked.format == "json" else _text(pack, records, directions, examples))
    return DONE


_Examples = dict[tuple[str, str], list[tuple[str, Change]]]


def _json(pack: RulePack, records: Counter[str], directions: Counter[tuple[str, str]], examples: _Examples) -> str:
    told = [
        {
            "outcome": kind[0],
            "direction": kind[1],
            "verdicts": count,
            "examples": [{"evaluation_id": evaluation_id, "change": change} for evaluation_id, change in examples[kind]],
        }
        for kind, count in sorted(directions.items())
    ]
    counted = {name.replace(" ", "_"): count for name, count in records.items()}
    return orjson.dumps({"pack_id": pack.pack_id, "pack_digest": pack.digest, "records": counted, "changes": told}).decode()


def _text(pack: RulePack, records: Counter[str], directions: Counter[tuple[str, str]], examples: _Examples) -> str:
    lines = [
        f"Records that {pack.pack_id} would judge: {records['judged']}, of which {records['changed']} would change.",
        f"Others would be judged by another pack: {records['not touched']}; could not be evaluated: {records['not evaluated']}.",
    ]
    for kind, count in sorted(directions.items()):
        lines.append(f"{kind[0]}: {kind[1]}: {count}")
        lines += [f"  {one}  {change.subject}: {change.was or 'nothing'} -> {change.now or 'nothing'}" for one, change in examples[kind]]
    return "\n".join(lines)
