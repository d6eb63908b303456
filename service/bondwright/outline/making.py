"""An outline made of an answer's bytes, of whatever form, and of the pack that decided."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, Literal, TypeAlias

import orjson

from bondwright.audit.forms import Judged, content_of, form_of, judged_in
from bondwright.audit.record import NewRecord
from bondwright.outline.shape import (
    FORM,
    Outline,
    OutlinedAct,
    OutlinedBond,
    OutlinedConnection,
    OutlinedGap,
    OutlineDigests,
    OutlinedQuestion,
    OutlinedSize,
    OutlinedUnused,
    OutlineLinks,
)
from bondwright.rulebook.declared.acts import STOP
from bondwright.rulebook.pack import NOT_JUDGED, RulePack

_Said: TypeAlias = Mapping[str, Any]
_SIZE_SLOT = "{size}"
_FEEDER: Final = "feeder"
_VERDICTS, _FINDINGS = "verdicts", "findings"
_NEVER_FIRM = ("measure_first", NOT_JUDGED)
"""Marks of what waits for a look or a reading, or that no rule covers, even where all that decides it is firm."""


def outline_of(evaluation: bytes, description: bytes, pack: RulePack) -> Outline:
    """The outline of an answer that `pack` gave to a description, both as they are kept. Raises: RecordBroken."""
    return _Outliner(evaluation, hashlib.sha256(description).hexdigest(), pack).outline()


def outline_bytes(evaluation: bytes, description: bytes, pack: RulePack) -> bytes:
    """The same as JSON. Raises: RecordBroken."""
    return orjson.dumps(outline_of(evaluation, description, pack))


def recorded_outline(record: NewRecord, pack: RulePack) -> bytes:
    """The outline of a record as it is answered, JSON; `pack`: that which decided. Raises: RecordBroken."""
    at = f"/v1/evaluations/{record.evaluation_id}"
    links = OutlineLinks(at, f"{at}/record", f"{at}/replay", f"/v1/rule-packs/{record.pack_digest}")
    outline = outline_of(record.evaluation_bytes, record.input_bytes, pack)
    return orjson.dumps({"evaluation_id": record.evaluation_id, "recorded_at": record.recorded_at, "links": links, "outline": outline})


class _Outliner:
    """Makes one outline; `_numbers`: each question met so far, with its place in the list."""

    def __init__(self, evaluation: bytes, description_digest: str, pack: RulePack) -> None:
        self._content, self._pack = content_of(evaluation), pack
        self._digests = OutlineDigests(pack.digest, description_digest, hashlib.sha256(evaluation).hexdigest())
        self._judged: dict[tuple[str, ...], list[Judged]] = {}
        for one in judged_in(self._content, form_of(evaluation)):
            self._judged.setdefault(_subject(one), []).append(one)
        self._numbers: dict[tuple[str, str | None], int] = {}

    def outline(self) -> Outline:
        """All of it, in the order of the answer."""
        content = self._content
        acts = (
            *(self._part(part, self._of("parts", at)) for at, part in enumerate(content["parts"])),
            *(self._room(room, self._of("rooms", at)) for at, room in enumerate(content["rooms"])),
            *(self._earthing(one, self._of("earthings", at)) for at, one in enumerate(content.get("earthings", ()))),
            *([self._feeder(content[_FEEDER])] if content.get(_FEEDER) else []),
        )
        return Outline(
            form=FORM,
            reference=content["reference"],
            pack_id=content["pack"]["pack_id"],
            in_use_on_that_day=content["pack"]["in_use_on_that_day"],
            digests=self._digests,
            acts=acts,
            sizes=tuple(self._size(one) for name in _SIZES for one in self._judged.get((name,), ())),
            not_judged=tuple(
                OutlinedGap(one["of"], one["kind"], one["pointer"], self._places(one["questions"])) for one in content.get("not_judged", ())
            ),
            told_not_used=tuple(OutlinedUnused(one["pointer"], one["fact"], one["why"]) for one in content.get("told_not_used", ())),
            keep_off=tuple(dict.fromkeys(bond for one in content.get("keep_off", ()) for bond in one["bonds"])),
            questions=tuple(OutlinedQuestion(fact, pointer) for fact, pointer in self._numbers),  # INVARIANT: last, when all are met
        )

    def _of(self, *names: str | int) -> list[Judged]:
        return self._judged.get(tuple(map(str, names)), [])

    def _part(self, part: _Said, judged: Sequence[Judged]) -> OutlinedAct:
        roles = self._pack.roles
        own = [one for one in judged if _member(one) == _VERDICTS]
        bonds = tuple(
            OutlinedBond(bond["bond"], bond["pointer"], bond["counts"], self._code(bond, [one for one in judged if _is_of_bond(one, at)]))
            for at, bond in enumerate(part["bonds"])
        )
        return self._act(
            "part",
            part["part"],
            part,
            judged,
            [one for one in own if one.outcome in (roles.duty, roles.objection)] or own,
            there=[one for one in judged if one.outcome in (roles.counts, roles.complies)],
            code=self._code(part, [one for one in judged if _member(one) == _FINDINGS]),
            place=part["place"] or None,
            test=next((_acted_on(one.content) for one in judged if one.outcome == roles.next_test), None),
            covered_by=tuple(part["covered_by"]),
            bonds=bonds,
        )

    def _room(self, room: _Said, judged: Sequence[Judged]) -> OutlinedAct:
        findings = [one for one in judged if _member(one) == _FINDINGS]
        found = {duty.found for place in self._pack.places.kinds.values() for duty in place.duties}
        return self._act(
            "location",
            room["location"],
            room,
            judged,
            [one for one in judged if _member(one) in (_VERDICTS, "verdict")],
            there=[one for one in findings if one.outcome in found],
            code=self._code(room, findings),
            parts=tuple(OutlinedConnection(one["part"], one["pointer"], _acted_on(one["verdict"])) for one in room.get("parts", ())),
        )

    def _earthing(self, earthing: _Said, judged: Sequence[Judged]) -> OutlinedAct:
        deciding, findings = ([one for one in judged if _member(one) == member] for member in (_VERDICTS, _FINDINGS))
        return self._act("earthing", earthing["earthing"], earthing, judged, deciding, code=self._code(earthing, findings))

    def _feeder(self, feeder: _Said) -> OutlinedAct:
        judged = self._of(_FEEDER)
        return self._act(_FEEDER, _FEEDER, feeder, judged, judged)

    def _act(
        self,
        of: Literal["part", "location", "earthing", "feeder"],
        name: str,
        said: _Said,
        judged: Sequence[Judged],
        deciding: Sequence[Judged],
        *,
        there: Sequence[Judged] = (),
        code: str | None = None,
        place: str | None = None,
        test: str | None = None,
        covered_by: tuple[str, ...] = (),
        bonds: tuple[OutlinedBond, ...] = (),
        parts: tuple[OutlinedConnection, ...] = (),
    ) -> OutlinedAct:
        """`deciding`: what is called for and what speaks against it; `there`: what is said of what is there already."""
        advice = self._pack.advice.get(said["act"])
        sizes = [one for one in judged if "highest" in one.members]
        if advice is not None and _SIZE_SLOT in advice.line:
            sizes = [*self._of(self._main_bond), *sizes]
        return OutlinedAct(
            of=of,
            id=name,
            pointer=said["pointer"],
            instruction=STOP if advice is None else advice.instruction,
            act=said["act"],
            firm=said["mark"] not in _NEVER_FIRM and all(one.content["firm"] for one in (*deciding, *there)),
            sizes=tuple(map(self._size, sizes)),
            place=place,
            code=code,
            clauses=tuple(_clauses(deciding, said.get("observation"))),
            test=test,
            covered_by=covered_by,
            bonds=bonds,
            parts=parts,
            questions=self._places(question for one in judged for question in one.content["questions"]),
            could_relax=self._places(question for one in judged for question in one.content.get("could_relax", ())),
        )

    @property
    def _main_bond(self) -> str:
        return _SIZES[0]

    def _size(self, one: Judged) -> OutlinedSize:
        told = one.content
        return OutlinedSize(
            outcome=one.outcome,
            unit=told["unit"],
            lowest=told["lowest"],
            highest=told["highest"],
            provisional=told["provisional"],
            firm=told["firm"],
            questions=self._places(told["questions"]),
        )

    def _code(self, said: _Said, reporting: Iterable[Judged]) -> str | None:
        """The code of what is observed; of an answer that names no observations, that of the first settled level that has one."""
        if "observation" in said:
            return said["observation"]["code"] if said["observation"] else None
        for one in reporting:
            outcome = self._pack.outcomes.get(one.outcome)
            codes = dict(zip(outcome.levels, outcome.codes, strict=True)) if outcome and outcome.codes else {}
            if one.content["firm"] and (code := codes.get(one.worst_case or "")):
                return code
        return None

    def _places(self, questions: Iterable[_Said]) -> tuple[int, ...]:
        """Where these questions stand in the list, each once."""
        asked = dict.fromkeys((one["fact"], one["pointer"]) for one in questions)
        return tuple(self._numbers.setdefault(one, len(self._numbers)) for one in asked)


_SIZES = ("main_bond_size", "earthing_conductor_size")
"""Members of an answer."""


def _subject(one: Judged) -> tuple[str, ...]:
    """The part, room or earthing with its number, or the member, of the answer in which it stands."""
    _, member, *rest = one.pointer.split("/")
    return (member, rest[0]) if member in ("parts", "rooms", "earthings") else (member,)


def _member(one: Judged) -> str:
    """The member of a part, room or earthing in which it stands."""
    _, _, _, member, *_ = one.pointer.split("/")
    return member


def _is_of_bond(one: Judged, number: int) -> bool:
    _, _, _, *within = one.pointer.split("/")
    return within[:2] == ["bonds", str(number)]


def _acted_on(verdict: _Said) -> str:
    return str(verdict["act_on"])


def _clauses(deciding: Iterable[Judged], observed: _Said | None) -> Iterator[str]:
    """Each clause once, that of what is observed behind those of what decides."""
    cited = [reason["clause"] for one in deciding for reason in one.because] + ([observed["clause"]] if observed else [])
    yield from dict.fromkeys(clause.strip() for some in cited for clause in some.split(";"))
