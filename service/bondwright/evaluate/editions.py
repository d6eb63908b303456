"""Which editions may be worked to on a day, and where their answers differ."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TypeAlias

from msgspec import Struct

from bondwright.compose.answer import Evaluation, PartAnswer, RoomAnswer, SizeVerdict, Verdict
from bondwright.compose.choices import in_use
from bondwright.compose.pack_used import AlsoUsable
from bondwright.compose.sentences import size_words
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal, standing
from bondwright.said import joined, together

_Told: TypeAlias = tuple[str, str, str]
"""What it is about, in words; what is compared; its words."""
_Compared: TypeAlias = Mapping[str, _Told]
"""The same by what it is about, in no language."""

_REVISION = re.compile(r"-r[0-9]+$")


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


def also_usable(used: Evaluation, pack: RulePack, other: Evaluation, say: Sentences) -> AlsoUsable:
    """The pack that was lawful too, with what it says otherwise, in the sentences of the pack that was used."""
    return AlsoUsable(pack.pack_id, pack.standard, tuple(_differing(_Words(say), used, other)))


def _differing(words: "_Words", used: Evaluation, other: Evaluation) -> Iterator[str]:
    """A line for each part, room or size whose act, level or number differs, the other pack's word first."""
    theirs, nothing = {key: told for key, _, told in words.subjects(other)}, ("", "", words.say("differs_nothing"))
    for key, name, mine in words.subjects(used):
        told = theirs.get(key, {})
        changed = [
            words.say("differs_here", about=about, there=told.get(of, nothing)[2], here=here)
            for of, (about, what, here) in mine.items()
            if told.get(of, nothing)[1] != what
        ]
        if changed:
            yield together(name, ": ", joined("; ", changed))


class _Words(Struct, frozen=True):
    """What is compared of an answer, in the sentences of one pack."""

    say: Sentences

    def subjects(self, evaluation: Evaluation) -> Iterator[tuple[str, str, _Compared]]:
        """Each part, room, earthing, feeding circuit and size: what it is known by, its name, and what is compared of it."""
        for part in evaluation.parts:
            yield part.pointer + part.part, part.name, self._part(part)
        for room in evaluation.rooms:
            yield room.pointer, room.name, self._room(room)
        for earthing in evaluation.earthings:
            yield earthing.pointer, earthing.name, self._act(earthing.act) | self._levels(earthing.verdicts)
        if feeder := evaluation.feeder:
            yield feeder.pointer, self.say("name_feeder"), self._act(feeder.act) | self._levels((feeder.verdict,))
        for size in (evaluation.main_bond_size, evaluation.earthing_conductor_size):
            yield size.outcome, _plain(size.outcome), self._size(self.say("differs_size"), size)

    def _part(self, part: PartAnswer) -> _Compared:
        found = {
            f"{bond.bond} {of}": (self.say("differs_on_bond", bond=bond.bond, about=about), what, words)
            for bond in part.bonds
            for of, (about, what, words) in self._levels(bond.verdicts).items()
        }
        return self._act(part.act) | self._levels(part.verdicts) | found

    def _room(self, room: RoomAnswer) -> _Compared:
        told = self._act(room.act) | self._levels(room.verdicts)
        for link in room.links:
            told |= self._size(link.joins, link.least_size)
        return told | (self._size(self.say("differs_limit"), room.resistance_limit) if room.resistance_limit else {})

    def _act(self, act: str) -> dict[str, _Told]:
        return {"act": (self.say("differs_act"), act, _plain(act))}

    def _levels(self, verdicts: Iterable[Verdict]) -> dict[str, _Told]:
        return {one.outcome: (_plain(one.outcome), f"{one.act_on} {one.worst_case}", self._level(one)) for one in verdicts}

    def _level(self, verdict: Verdict) -> str:
        """What is safe to act on, and at worst, where that is another word."""
        act_on = _plain(verdict.act_on)
        if verdict.act_on == verdict.worst_case:
            return act_on
        return self.say("differs_at_worst", act_on=act_on, worst=_plain(verdict.worst_case))

    def _size(self, about: str, size: SizeVerdict) -> dict[str, _Told]:
        return {size.outcome: (about, f"{size.lowest} {size.highest} {size.provisional}", size_words(size, self.say))}


def _plain(name: str) -> str:
    return name.replace("_", " ")
