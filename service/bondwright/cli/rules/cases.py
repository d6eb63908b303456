"""`bondwright rules cases`: the worked cases, each judged by the newest pack in whose time its work falls.

Compared are, for each part and room that a case speaks of, the act, its mark and the levels, and the two sizes of the installation.
The test suite compares more.
"""

import copy
from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import orjson

from bondwright.cli.rules.choosing import WrongCall, family, folder_of, pack_or_draft, published
from bondwright.cli.rules.printing import Finding, print_findings
from bondwright.cli.statuses import DONE, WANTING
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Refused, UnreadableRules
from bondwright.evaluate.answer import Evaluation, PartAnswer, RoomAnswer, SizeVerdict
from bondwright.evaluate.evaluation import chosen_date, evaluate, in_use
from bondwright.installation.reading import read_installation
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import in_order

Json: TypeAlias = Any


@dataclass(frozen=True, slots=True)
class Claim:
    """A worked case or its near miss: `name` is its file, within the rules folder."""

    name: str
    claim: str
    installation: Json
    expect: Json


def cases(asked: Namespace) -> int:
    """The worked cases of every family, or those within the time of one pack or draft."""
    folder = folder_of(asked)
    findings = judged(folder, [pack_or_draft(folder, asked.pack)] if asked.pack else published(folder))
    if not findings:
        raise WrongCall("no worked case falls into that time")
    print_findings("cases", findings, asked.format)
    return WANTING if any(finding.fault for finding in findings) else DONE


def judged(folder: Path, packs: Sequence[RulePack]) -> list[Finding]:
    """What became of each worked case and near miss of the families of `packs` whose work falls into the time of one of them.

    Raises: UnreadableRules, for a file that is no case.
    """
    findings: list[Finding] = []
    running: dict[str, TwoChannels] = {}
    with ExitStack() as leaving:
        for name in dict.fromkeys(family(pack) for pack in packs):
            own = [pack for pack in in_order(packs) if family(pack) == name]
            for claim in _claims(folder, name):
                try:
                    installation = read_installation(orjson.dumps(claim.installation))
                    pack = next((pack for pack in reversed(own) if in_use(pack, chosen_date(installation)[1])), None)
                    if pack is None:
                        continue
                    if pack.pack_id not in running:
                        running[pack.pack_id] = leaving.enter_context(closing(TwoChannels(pack)))
                    evaluation = evaluate(installation, pack, running[pack.pack_id].acting)
                except Refused as error:
                    findings.append(Finding(claim.name, f"{claim.claim} {error}"))
                else:
                    faults = "; ".join(_differences(claim.expect, evaluation))
                    findings.append(Finding(claim.name, f"{claim.claim} By {pack.pack_id}, {faults}" if faults else ""))
    return findings


def _claims(folder: Path, family_name: str) -> Iterator[Claim]:
    for path in sorted((folder / family_name / "cases").glob("*.json")):
        name = f"{family_name}/cases/{path.name}"
        try:
            content = orjson.loads(path.read_bytes())
            near = content["near_miss"]
            yield Claim(name, content["claim"], content["installation"], content["expect"])
            yield Claim(f"{name} (near miss)", near["claim"], _changed(content["installation"], near["change"]), near["expect"])
        except (OSError, ValueError, TypeError, LookupError):
            detail = "not a worked case; it has `claim`, `installation`, `expect` and `near_miss`, in JSON"
            raise UnreadableRules(name, 1, 1, detail) from None


def _changed(document: Json, change: Mapping[str, Json]) -> Json:
    """The document with the value at each JSON Pointer replaced, or removed where the new one is `null`."""
    result = copy.deepcopy(document)
    for pointer, value in change.items():
        holder, (*steps, last) = result, pointer.split("/")[1:]
        for step in steps:
            holder = holder[_key(holder, step)]
        if value is None:
            del holder[_key(holder, last)]
        else:
            holder[_key(holder, last)] = value
    return result


def _key(holder: Json, step: str) -> str | int:
    return int(step) if isinstance(holder, list) else step


def _differences(expect: Mapping[str, Json], evaluation: Evaluation) -> Iterator[str]:
    told: dict[str, dict[str, Mapping[str, Json]]] = {
        "parts": {part.part: _told(part) for part in evaluation.parts},
        "rooms": {room.location: _told(room) for room in evaluation.rooms},
        "sizes": {size.outcome: _size(size) for size in (evaluation.main_bond_size, evaluation.earthing_conductor_size)},
    }
    expect = {**expect, "sizes": {name: expect[name] for name in told["sizes"] if name in expect}}
    for kind, answers in told.items():
        for name, wanted in expect.get(kind, {}).items():
            answer = answers.get(name)
            if wanted is None or answer is None:
                if wanted is not answer:
                    yield f"{name} is {'no' if answer is None else 'a'} part of its own"
                continue
            for key in wanted.keys() & answer.keys():
                if wanted[key] != answer[key]:
                    yield f"{key} of {name} is {answer[key]}, expected {wanted[key]}"


def _told(answer: PartAnswer | RoomAnswer) -> dict[str, str]:
    return {"act": answer.act, "mark": answer.mark, **{verdict.outcome: verdict.act_on for verdict in answer.verdicts}}


def _size(size: SizeVerdict) -> Mapping[str, Json]:
    return {"lowest": size.lowest, "highest": size.highest, "provisional": size.provisional, "firm": size.firm}
