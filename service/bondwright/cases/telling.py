"""What an answer tells, as worked cases expect it: by subject, name and key. The one place to change when an answer tells more."""

import re
from collections.abc import Iterable, Mapping
from typing import Any, TypeAlias

from bondwright.cases.keys import CLAUSES, LIMIT_CLAUSES, LINK_CLAUSES
from bondwright.compose.answer import (
    BondAnswer,
    EarthingAnswer,
    Evaluation,
    FeederAnswer,
    Observation,
    PartAnswer,
    RoomAnswer,
    SizeVerdict,
    Verdict,
)
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity

Told: TypeAlias = Mapping[str, Any]
"""What is told of one subject, by key."""


def told(evaluation: Evaluation, pack: RulePack) -> Mapping[str, Mapping[str, Told]]:
    """All that is told, by subject and name; the name of what an answer has one of is empty, and such a thing is missing if it has none.

    `because` names the rules that determined the levels, remarks and the outcomes' own reasons left out; `firm` is of the duty, of
    supplementary bonding, of the connection, of how an earthing stands to that of the supply; an outcome's own name gives its worst case,
    `act_on` what is safe to act on by the name of the outcome, `observation` its code; `size_mm2` of the new connection of a part in the
    plan.
    """
    teller = _Teller(pack)
    plan = evaluation.plan
    return {
        "parts": {part.part: teller.part(part, evaluation) for part in evaluation.parts},
        "rooms": {room.location: teller.room(room) for room in evaluation.rooms},
        "bonds": {bond.bond: teller.bond(bond) for part in evaluation.parts for bond in part.bonds},
        "earthings": {earthing.earthing: teller.earthing(earthing) for earthing in evaluation.earthings},
        "feeder": {"": teller.feeder(evaluation.feeder)} if evaluation.feeder else {},
        "main_bond_size": {"": teller.size(evaluation.main_bond_size)},
        "earthing_conductor_size": {"": teller.size(evaluation.earthing_conductor_size)},
        "plan": {
            "": {
                "connections": [connection.part for connection in plan.connections],
                "bonded": list(plan.bonded),
                "covered": list(plan.covered),
            }
        },
    }


class _Teller:
    """Tells of answers that one pack gave."""

    def __init__(self, pack: RulePack) -> None:
        self._pack, self._roles = pack, pack.roles
        self._remarks = frozenset(rule.rule_id for rule in pack.rules if rule.polarity is Polarity.REMARKS)

    def part(self, part: PartAnswer, evaluation: Evaluation) -> Told:
        sizes = [connection.size for connection in evaluation.plan.connections if connection.part == part.part]
        number = re.match(r"([\d.]+) mm²", sizes[0]) if sizes else None
        return {
            "act": part.act,
            "mark": part.mark,
            "place": part.place,
            "covered_by": list(part.covered_by),
            "observation": _code(part.observation),
            "size_mm2": float(number[1]) if number else None,
            "firm": _firm(part.verdicts, self._roles.duty),
            "reading": part.readings[0].verdict.worst_case if part.readings else None,
            **self._verdicts(part.verdicts, part.findings, *([(part.test_to_make,)] if part.test_to_make else [])),
        }

    def room(self, room: RoomAnswer) -> Told:
        limit = room.resistance_limit
        return {
            "act": room.act,
            "mark": room.mark,
            "omitted_once": room.omitted_once,
            "observation": _code(room.observation),
            "firm": room.verdicts[0].firm,
            "connections": {one.part: one.verdict.worst_case for one in room.parts},
            "links": {link.least_size.outcome: _number(link.least_size) for link in room.links},
            "resistance_limit_ohm": None if limit is None else _number(limit),
            "limit_other_views": [reason.rule for reason in (limit.because if limit else ()) if reason.other_view],
            "link_other_views": sorted({reason.rule for link in room.links for reason in link.least_size.because if reason.other_view}),
            LIMIT_CLAUSES: _clauses(reason.clause for reason in (limit.because if limit else ())),
            LINK_CLAUSES: _link_clauses(room),
            **self._verdicts(room.verdicts, room.findings, tuple(one.verdict for one in room.parts)),
        }

    def bond(self, bond: BondAnswer) -> Told:
        told = self._verdicts(bond.verdicts)
        return {"firm": _firm(bond.verdicts, self._roles.counts), "observation": _code(bond.observation), **told}

    def earthing(self, earthing: EarthingAnswer) -> Told:
        return {
            "act": earthing.act,
            "mark": earthing.mark,
            "firm": all(one.firm for one in earthing.verdicts[:1]),
            "observation": _code(earthing.observation),
            **self._verdicts(earthing.verdicts, earthing.findings),
        }

    def feeder(self, feeder: FeederAnswer) -> Told:
        return {"act": feeder.act, "mark": feeder.mark, "firm": feeder.verdict.firm, **self._verdicts((feeder.verdict,))}

    def size(self, size: SizeVerdict) -> Told:
        return {
            "lowest": size.lowest,
            "highest": size.highest,
            "provisional": size.provisional,
            "firm": size.firm,
            "because": [reason.rule for reason in size.because if reason.rule not in self._remarks],
            "remarks": [reason.rule for reason in size.because if reason.rule in self._remarks],
            CLAUSES: _clauses(reason.clause for reason in size.because),
            "other_views": [reason.rule for reason in size.because if reason.other_view],
            "asks": [question.fact for question in size.questions],
        }

    def _verdicts(self, first: tuple[Verdict, ...], *more: tuple[Verdict, ...]) -> dict[str, Any]:
        """What the verdicts come to; what determined the first ones, and what all of them ask, remark and dispute."""
        verdicts = [*first, *(one for some in more for one in some)]
        reasons = [reason for one in verdicts for reason in one.because]
        determining = {reason.rule for one in first for reason in one.because if self._pack.has_rule(reason.rule)}
        return {
            "because": sorted(determining - self._remarks),
            "remarks": sorted({reason.rule for reason in reasons} & self._remarks),
            "other_views": sorted({reason.rule for reason in reasons if reason.other_view}),
            CLAUSES: _clauses(reason.clause for reason in reasons),
            "asks": sorted({question.fact for one in verdicts for question in one.questions}),
            "act_on": {one.outcome: one.act_on for one in verdicts},
            **{one.outcome: one.worst_case for one in verdicts},
        }


def _code(observation: Observation | None) -> str | None:
    return observation.code if observation else None


def _number(size: SizeVerdict) -> float | list[float]:
    return size.lowest if size.firm else [size.lowest, size.highest]


def _firm(verdicts: Iterable[Verdict], outcome: str) -> bool:
    return next(one.firm for one in verdicts if one.outcome == outcome)


def _clauses(written: Iterable[str]) -> list[str]:
    return sorted({clause.strip() for clauses in written for clause in clauses.split(";")})


def _link_clauses(room: RoomAnswer) -> list[str]:
    """The clauses of all sizes, and of each with its name before them: several sizes may rest on one clause."""
    by_link = {link.least_size.outcome: _clauses(reason.clause for reason in link.least_size.because) for link in room.links}
    every = sorted({clause for clauses in by_link.values() for clause in clauses})
    return [*every, *(f"{link}: {clause}" for link, clauses in by_link.items() for clause in clauses)]
