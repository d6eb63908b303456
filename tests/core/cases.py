"""Example installations under `rules/bs7671/cases`: reading them, changing one into its near miss, comparing with an answer.

A case expects only what its claim is about. `parts`, `rooms` and `bonds` go by name; `null` for a part says that it is no part of
its own. Beside the outcomes' own names these keys may stand: `because` names every determining rule; `clauses`, `asks`, `remarks` and
`other_views` some of the clauses, the questions, the rules that remark, and the rules whose point is disputed, the other view told;
`place` and `omitted_once` a piece of the words; `firm` is of the duty, the room or the connection.
"""

import copy
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from tests.rules.revisions import newest

from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.answer import BondAnswer, Evaluation, FeederAnswer, PartAnswer, RoomAnswer, SizeVerdict, Verdict
from bondwright.evaluate.evaluation import evaluate
from bondwright.installation.description import Installation
from bondwright.installation.reading import read_installation
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity
from bondwright.shelf.packs import rules_folder

EDITION = "bs7671-2018-a4"
"""The edition that the cases are about."""

Json: TypeAlias = Any
Told: TypeAlias = Mapping[str, Json]

_CONTAINED = frozenset({"clauses", "asks", "remarks", "other_views", "limit_other_views"})
_PHRASES = frozenset({"place", "omitted_once"})


@dataclass(frozen=True, slots=True)
class Case:
    """One claim: an installation, what is expected of it, and its near miss."""

    name: str
    claim: str
    rests_on: str
    installation: Json
    expect: Json
    near_claim: str
    near_installation: Json
    near_expect: Json


def cases() -> tuple[Case, ...]:
    """Every case of the folder, by file name."""
    return tuple(_read(path) for path in sorted((rules_folder() / "bs7671" / "cases").glob("*.json")))


@cache
def published_pack() -> RulePack:
    """The published pack that the cases are about."""
    return newest(EDITION)


@cache
def channels() -> TwoChannels:
    """The two channels of that pack."""
    return TwoChannels(published_pack())


def judged(installation: Json) -> Evaluation:
    """What the published pack says of a description."""
    return evaluate(read(installation), published_pack(), channels().acting)


def read(installation: Json) -> Installation:
    """A description read as strictly as one that was sent."""
    return read_installation(json.dumps(installation).encode())


def changed(document: Json, change: Mapping[str, Json]) -> Json:
    """A copy of `document` with the value at each JSON Pointer replaced, or removed where the new one is `null`."""
    result = copy.deepcopy(document)
    for pointer, value in change.items():
        *steps, last = pointer.split("/")[1:]
        holder = result
        for step in steps:
            holder = holder[_key(holder, step)]
        if value is None:
            del holder[_key(holder, last)]
        else:
            holder[_key(holder, last)] = copy.deepcopy(value)
    return result


def differences(expect: Json, evaluation: Evaluation) -> list[str]:
    """Where `evaluation` differs from `expect`, a line each."""
    told = _told(evaluation)
    found: list[str] = []
    for subject, wanted in expect.items():
        if subject in ("parts", "rooms", "bonds"):
            for name, one in wanted.items():
                found += _compare(f"{subject} {name}", one, told[subject].get(name))
        else:
            found += _compare(subject, wanted, told[subject])
    return found


def _read(path: Path) -> Case:
    document = json.loads(path.read_bytes())
    near = document["near_miss"]
    assert set(document) == {"claim", "rests_on", "installation", "expect", "near_miss"}, path.name
    return Case(
        name=path.stem,
        claim=document["claim"],
        rests_on=document["rests_on"],
        installation=document["installation"],
        expect=document["expect"],
        near_claim=near["claim"],
        near_installation=changed(document["installation"], near["change"]),
        near_expect=near["expect"],
    )


def _key(holder: Json, step: str) -> str | int:
    return int(step) if isinstance(holder, list) else step


def _compare(where: str, wanted: Told | None, told: Told | None) -> Iterator[str]:
    if wanted is None or told is None:
        if wanted is not told:
            yield f"{where}: {'no such part expected' if wanted is None else 'is not in the answer'}"
        return
    for key, value in wanted.items():
        if key not in told:
            yield f"{where}: nothing is told of {key}"
        elif not _fits(key, value, told[key]):
            yield f"{where}: {key} is {told[key]!r}, expected {value!r}"


def _fits(key: str, value: Json, told: Json) -> bool:
    if key == "because":
        return sorted(value) == sorted(told)
    if key in _CONTAINED:
        return set(value) <= set(told)
    if key in _PHRASES and isinstance(value, str) and isinstance(told, str):
        return value in told
    return bool(value == told)


def _told(evaluation: Evaluation) -> Mapping[str, Any]:
    plan = asdict(evaluation.plan)
    return {
        "parts": {part.part: _part(part, evaluation) for part in evaluation.parts},
        "rooms": {room.location: _room(room) for room in evaluation.rooms},
        "bonds": {bond.bond: _bond(bond) for part in evaluation.parts for bond in part.bonds},
        "feeder": _feeder(evaluation.feeder) if evaluation.feeder else None,
        "main_bond_size": _size(evaluation.main_bond_size),
        "earthing_conductor_size": _size(evaluation.earthing_conductor_size),
        "plan": {
            "connections": [connection["part"] for connection in plan["connections"]],
            "bonded": list(plan["bonded"]),
            "covered": list(plan["covered"]),
        },
    }


def _part(part: PartAnswer, evaluation: Evaluation) -> Told:
    sizes = [connection.size for connection in evaluation.plan.connections if connection.part == part.part]
    number = re.match(r"([\d.]+) mm²", sizes[0]) if sizes else None
    return {
        "act": part.act,
        "mark": part.mark,
        "place": part.place,
        "covered_by": list(part.covered_by),
        "size_mm2": float(number[1]) if number else None,
        "firm": _firm(part.verdicts, "main_bonding"),
        "reading": part.readings[0].verdict.act_on if part.readings else None,
        **_verdicts(part.verdicts, part.findings, *([(part.test_to_make,)] if part.test_to_make else [])),
    }


def _room(room: RoomAnswer) -> Told:
    return {
        "act": room.act,
        "mark": room.mark,
        "omitted_once": room.omitted_once,
        "firm": _firm(room.verdicts, "supplementary_bonding"),
        "links": {link.least_size.outcome: _number(link.least_size) for link in room.links},
        "resistance_limit_ohm": None if room.resistance_limit is None else _number(room.resistance_limit),
        "limit_other_views": [
            reason.rule for reason in (room.resistance_limit.because if room.resistance_limit else ()) if reason.other_view
        ],
        **_verdicts(room.verdicts, room.findings),
    }


def _bond(bond: BondAnswer) -> Told:
    return {"firm": _firm(bond.verdicts, "bond_connection"), **_verdicts(bond.verdicts)}


def _size(size: SizeVerdict) -> Told:
    return {
        "lowest": size.lowest,
        "highest": size.highest,
        "provisional": size.provisional,
        "firm": size.firm,
        "because": [reason.rule for reason in size.because if reason.rule not in _remarks()],
        "clauses": _clauses(reason.clause for reason in size.because),
        "other_views": [reason.rule for reason in size.because if reason.other_view],
        "asks": [question.fact for question in size.questions],
    }


def _number(size: SizeVerdict) -> float | list[float]:
    return size.lowest if size.firm else [size.lowest, size.highest]


def _firm(verdicts: Iterable[Verdict], outcome: str) -> bool:
    return next(one.firm for one in verdicts if one.outcome == outcome)


def _feeder(feeder: FeederAnswer) -> Told:
    return {"act": feeder.act, "mark": feeder.mark, "firm": feeder.verdict.firm, **_verdicts((feeder.verdict,))}


def _verdicts(first: tuple[Verdict, ...], *more: tuple[Verdict, ...]) -> dict[str, Json]:
    """What the verdicts come to; what determined the first ones, and what all of them ask, remark and dispute."""
    verdicts = [*first, *(one for some in more for one in some)]
    reasons = [reason for one in verdicts for reason in one.because]
    return {
        "because": sorted({reason.rule for one in first for reason in one.because if not reason.rule.endswith("-otherwise")} - _remarks()),
        "remarks": sorted({reason.rule for reason in reasons} & _remarks()),
        "other_views": sorted({reason.rule for reason in reasons if reason.other_view}),
        "clauses": _clauses(reason.clause for reason in reasons),
        "asks": sorted({question.fact for one in verdicts for question in one.questions}),
        **{one.outcome: one.act_on for one in verdicts},
    }


@cache
def _remarks() -> frozenset[str]:
    return frozenset(rule.rule_id for rule in published_pack().rules if rule.polarity is Polarity.REMARKS)


def _clauses(written: Iterable[str]) -> list[str]:
    return [clause.strip() for clauses in written for clause in clauses.split(";")]
