"""Which editions may be worked to on a day, and where their answers differ."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TypeAlias

from bondwright.compose.answer import Evaluation, PartAnswer, RoomAnswer, SizeVerdict, Verdict
from bondwright.compose.choices import in_use
from bondwright.compose.pack_used import AlsoUsable
from bondwright.compose.sentences import size_words
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal, standing

_Compared: TypeAlias = Mapping[str, tuple[str, str]]
"""By what it is about: what is compared, and its words."""

_REVISION = re.compile(r"-r[0-9]+$")
_NOTHING = ("", "nothing")


def lawful(packs: Sequence[PackHead], day: date, withdrawn: Mapping[str, Withdrawal]) -> tuple[PackHead | Withdrawal, ...]:
    """The packs in use on that day, the newest revision of each edition, the last being the one to use.

    `packs`: first usable first. One that is used on request alone is left out. One that is withdrawn gives way to its successor, where
    that was in use on the day too; else its edition has no pack, whatever older revisions there are: its withdrawal stands there instead.
    """
    in_time = {pack.pack_id: pack for pack in packs if in_use(pack, day) and not pack.on_request}
    newest = {_REVISION.sub("", pack_id): pack for pack_id, pack in in_time.items()}
    found: dict[str, PackHead | Withdrawal] = {}
    for pack in sorted(newest.values(), key=packs.index):
        chosen = standing(pack, in_time, withdrawn) or withdrawn[pack.pack_id]
        found.pop(chosen.pack_id, None)
        found[chosen.pack_id] = chosen
    return tuple(found.values())


def also_usable(used: Evaluation, pack: RulePack, other: Evaluation) -> AlsoUsable:
    """The pack that was lawful too, with what it says otherwise."""
    return AlsoUsable(pack.pack_id, pack.standard, tuple(_differing(used, other)))


def _differing(used: Evaluation, other: Evaluation) -> Iterator[str]:
    """A line for each part, room or size whose act, level or number differs, the other pack's word first."""
    theirs = dict(_subjects(other))
    for (key, name), mine in _subjects(used):
        told = theirs.get((key, name), {})
        changed = [
            (about, told.get(about, _NOTHING)[1], here) for about, (what, here) in mine.items() if told.get(about, _NOTHING)[0] != what
        ]
        if changed:
            yield f"{name}: {'; '.join(f'{about} {there} (here {here})' for about, there, here in changed)}"


def _subjects(evaluation: Evaluation) -> Iterator[tuple[tuple[str, str], _Compared]]:
    for part in evaluation.parts:
        yield (part.part, part.name), _part(part)
    for room in evaluation.rooms:
        yield (room.location, room.name), _room(room)
    if feeder := evaluation.feeder:
        yield (feeder.pointer, "the feeding circuit"), {"act": (feeder.act, _words(feeder.act)), **_levels((feeder.verdict,))}
    for size in (evaluation.main_bond_size, evaluation.earthing_conductor_size):
        yield (size.outcome, _words(size.outcome)), dict([_size("size", size)])


def _part(part: PartAnswer) -> _Compared:
    found = {f"bond {bond.bond}: {about}": told for bond in part.bonds for about, told in _levels(bond.verdicts).items()}
    return {"act": (part.act, _words(part.act)), **_levels(part.verdicts), **found}


def _room(room: RoomAnswer) -> _Compared:
    sizes = [_size(link.joins, link.least_size) for link in room.links]
    limit = [_size("resistance limit", room.resistance_limit)] if room.resistance_limit else []
    return {"act": (room.act, _words(room.act)), **_levels(room.verdicts), **dict([*sizes, *limit])}


def _levels(verdicts: Iterable[Verdict]) -> dict[str, tuple[str, str]]:
    return {_words(verdict.outcome): (f"{verdict.act_on} {verdict.worst_case}", _level(verdict)) for verdict in verdicts}


def _level(verdict: Verdict) -> str:
    """What is safe to act on, and at worst, where that is another word."""
    at_worst = f", at worst {_words(verdict.worst_case)}" if verdict.act_on != verdict.worst_case else ""
    return _words(verdict.act_on) + at_worst


def _size(about: str, size: SizeVerdict) -> tuple[str, tuple[str, str]]:
    return about, (f"{size.lowest} {size.highest} {size.provisional}", size_words(size))


def _words(name: str) -> str:
    return name.replace("_", " ")
