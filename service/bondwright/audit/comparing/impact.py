"""What another rule pack would say otherwise of an installation that was evaluated before."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from bondwright.audit.forms import content_of, form_of, judged_in

_Told: TypeAlias = dict[tuple[str, str], str | tuple[float, float]]
"""By subject and outcome: the worst case, or from and to of a size."""


@dataclass(frozen=True, slots=True)
class Change:
    """One verdict or size that differs. `direction`: raised, lowered, wider or narrower (a size, at both ends), appeared, gone or other.

    `subject` names part, bond, reading or location, as the answer does; empty for the installation.
    """

    subject: str
    outcome: str
    direction: str
    was: str | None
    now: str | None


def changes(was: bytes, now: bytes, ladders: Mapping[str, Sequence[str]]) -> tuple[Change, ...]:
    """Every worst case and size in which two evaluations of one installation, each of any form, differ, in the order of the answers.

    `ladders`: the levels of each outcome, the least cautious first. Raises: RecordBroken, if the form of one is not known.
    """
    before, after = _told(was), _told(now)
    found = []
    for key in [*before, *(key for key in after if key not in before)]:
        one, other = before.get(key), after.get(key)
        if one != other:
            found.append(Change(*key, _direction(one, other, ladders.get(key[1], ())), _words(one), _words(other)))
    return tuple(found)


def _told(evaluation: bytes) -> _Told:
    told: _Told = {}
    for one in judged_in(content_of(evaluation), form_of(evaluation)):
        level = one.worst_case
        told.setdefault((one.subject, one.outcome), (one.content["lowest"], one.content["highest"]) if level is None else level)
    return told


def _direction(was: str | tuple[float, float] | None, now: str | tuple[float, float] | None, ladder: Sequence[str]) -> str:
    if was is None or now is None:
        return "appeared" if was is None else "gone"
    if isinstance(was, str) and isinstance(now, str):
        if was in ladder and now in ladder:
            return "raised" if ladder.index(now) > ladder.index(was) else "lowered"
        return "other"
    if isinstance(was, tuple) and isinstance(now, tuple):
        if now[0] >= was[0] and now[1] >= was[1]:
            return "raised"
        if now[0] <= was[0] and now[1] <= was[1]:
            return "lowered"
        return "wider" if now[0] < was[0] else "narrower"
    return "other"


def _words(told: str | tuple[float, float] | None) -> str | None:
    return f"{told[0]:g} to {told[1]:g}" if isinstance(told, tuple) else told
