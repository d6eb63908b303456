"""Recorded evaluations worked out again, by the rule pack that the record keeps."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from typing import TypeAlias

from bondwright.assembly.judging import Evaluated, Judge
from bondwright.audit.comparing.difference import Replay, packs_named
from bondwright.audit.forms import form_of
from bondwright.audit.indexed import WronglyIndexed, wrongly_indexed
from bondwright.audit.record import NewRecord, PackRecord, Record, RecordStore, Search
from bondwright.audit.walk import Unreadable, walked
from bondwright.compose.answer import FORM
from bondwright.compose.pack_used import AlsoUsable
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.errors import (
    Contradiction,
    EngineDisagreement,
    EngineFault,
    Fault,
    RecordBroken,
    Refused,
    UnknownName,
    UnreadableRules,
)
from bondwright.evaluate.editions import also_usable
from bondwright.members import replace
from bondwright.outline.making import recorded_outline
from bondwright.report.page.shape import Calls
from bondwright.report.page.why import names_known
from bondwright.report.page.written import Asked, asked_text
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import load_pack

WorkOut: TypeAlias = Callable[[bytes, PackRecord, Sequence[RulePack | AlsoUsable]], bytes]
"""Gives the bytes of an evaluation from the description, the pack that decides, and the others that the answer names."""


PageOut: TypeAlias = Callable[[bytes, PackRecord, Sequence[RulePack | AlsoUsable], Asked], tuple[bytes, str]]
"""Gives these bytes and the text that is asked for."""
CALLS = Calls(why="?why=NAME", full="?whole=yes")
"""How a page of a recorded evaluation says that more is asked for."""


def worked_out(judge: Judge, raw: bytes, pack: RulePack, others: Sequence[RulePack | AlsoUsable]) -> bytes:
    """The bytes of what `pack` says of a description; an entry of `others` that is no pack is taken as it stands. Raises as `judged`."""
    return _again(judge, raw, pack, others).body


def page_of_it(judge: Judge, raw: bytes, pack: RulePack, others: Sequence[RulePack | AlsoUsable], asked: Asked) -> tuple[bytes, str]:
    """The same bytes, and the text that is asked for. Raises as `judged`; Contradiction, if nothing has the name that is asked about."""
    done = _again(judge, raw, pack, others)
    told = done.evaluation, done.installation, done.pack
    text = asked_text(*told, asked, CALLS)
    if text is None:
        raise Contradiction((Fault("/why", f"nothing in this evaluation is called so; write one of: {', '.join(names_known(*told))}"),))
    return done.body, text


def _again(judge: Judge, raw: bytes, pack: RulePack, others: Sequence[RulePack | AlsoUsable]) -> Evaluated:
    installation = judge.read_again(raw, pack)
    used = judge.judged(installation, pack)
    also = tuple(
        also_usable(used, other, judge.judged(installation, other), pack.say) if isinstance(other, RulePack) else other for other in others
    )
    evaluation = replace(used, pack=replace(used.pack, also_usable=also))
    return Evaluated(installation, pack, evaluation, evaluation_bytes(evaluation))


class Replayer:
    """Works records out again. `versions`: what answers now, by name."""

    def __init__(self, judge: Judge, store: Callable[[], RecordStore], versions: Mapping[str, str]) -> None:
        self._judge, self._store, self._versions = judge, store, dict(versions)
        self._kept_packs: dict[str, RulePack] = {}

    def replay(self, record: Record, work_out: WorkOut | None = None) -> Replay:
        """The stored description evaluated again by the stored pack, compared with the stored answer: see Replay.

        The store checks the digests of what it keeps. The pack is read from the text that the record keeps. What the answer says of other
        packs is worked out again for the packs that it names, in its order: they come from the published packs, else from the record, and
        where neither has one its entry is taken as it stands and `not_at_hand` names it. Packs published since are so no difference:
        `published_since` names them. `work_out`: what evaluates, if not this process.
        Raises: UnknownName, RecordBroken; what `work_out` raises beyond what evaluating does.
        """
        kept = self._store().pack(record.pack_digest)
        named = packs_named(record.evaluation_bytes)
        others = {pack_id: self._at_hand(pack_id) for pack_id in named}
        missing = tuple(pack_id for pack_id, pack in others.items() if pack is None)
        versions = dict(record.versions), self._versions
        forms = form_of(record.evaluation_bytes), FORM
        told = Replay(record.evaluation_id, record.pack_id, record.pack_digest, *forms, None, None, *versions, not_at_hand=missing)
        told = replace(told, withdrawn=self._judge.withdrawn.get(record.pack_id))
        by = [AlsoUsable(pack_id, *named[pack_id]) if pack is None else pack for pack_id, pack in others.items()]
        try:
            if not (installation := self._judge.read_again(record.input_bytes, kept)).rule_pack:
                told = replace(told, published_since=tuple(sorted(self._judge.usable(installation) - {record.pack_id, *named})))
            now = (work_out or self._work_out)(record.input_bytes, kept, by)
        except (Refused, UnreadableRules, EngineDisagreement, EngineFault) as error:
            return replace(told, not_evaluated=str(error))
        return told.compared(record.evaluation_bytes, now)

    def outline(self, record: NewRecord) -> bytes:
        """What the record says in short, JSON: the same bytes every time.

        By the pack that decided: of the published packs, else as the record keeps it.
        Raises: UnknownName, RecordBroken, UnreadableRules.
        """
        with suppress(UnknownName):
            return recorded_outline(record, self._judge.pack(record.pack_digest))
        return recorded_outline(record, self._kept_pack(self._store().pack(record.pack_digest)))

    def page(self, record: Record, asked: Asked, page_out: PageOut | None = None) -> str:
        """A text of a recorded evaluation, worked out as for `replay`. `page_out`: what does that, if not this process.

        Raises: UnknownName, RecordBroken; Contradiction, as `page_of_it`, or if today another answer comes out than was kept;
        what `page_out` and evaluating raise.
        """
        kept = self._store().pack(record.pack_digest)
        named = packs_named(record.evaluation_bytes)
        packs = {pack_id: self._at_hand(pack_id) for pack_id in named}
        others = [AlsoUsable(pack_id, *named[pack_id]) if pack is None else pack for pack_id, pack in packs.items()]
        body, text = (page_out or self._page_out)(record.input_bytes, kept, others, asked)
        forms = form_of(record.evaluation_bytes), FORM
        told = Replay(record.evaluation_id, record.pack_id, record.pack_digest, *forms, None, None, dict(record.versions), self._versions)
        if not told.compared(record.evaluation_bytes, body).is_sound:
            raise Contradiction(
                (Fault("", "today another answer comes out than the one that was kept; replay it to see where they differ"),)
            )
        return text

    def every(self, tenant: str) -> Iterator[tuple[Replay | Unreadable, WronglyIndexed | None]]:
        """Each of the tenant's records replayed, in the order of their counters, with what it is wrongly found by.

        Raises: RecordBroken, if the store cannot be read at all.
        """
        store = self._store()
        for one in walked(store, tenant):
            if isinstance(one, Unreadable):
                yield one, None
                continue
            found = store.find(tenant, Search(), one.counter - 1, 1)
            summary = found[0] if found and found[0].counter == one.counter else None
            marks = store.marks(tenant, one.counter)
            wrong = None
            with suppress(RecordBroken):  # an answer that cannot be read is told of by its replay
                wrong = wrongly_indexed(one, summary, marks)
            yield self._replayed(one), wrong

    def _replayed(self, record: Record) -> Replay | Unreadable:
        try:
            return self.replay(record)
        except (RecordBroken, UnknownName) as error:
            return Unreadable(record.counter, record.evaluation_id, str(error))

    def _work_out(self, raw: bytes, kept: PackRecord, others: Sequence[RulePack | AlsoUsable]) -> bytes:
        return worked_out(self._judge, raw, self._kept_pack(kept), others)

    def _page_out(self, raw: bytes, kept: PackRecord, others: Sequence[RulePack | AlsoUsable], asked: Asked) -> tuple[bytes, str]:
        return page_of_it(self._judge, raw, self._kept_pack(kept), others, asked)

    def _at_hand(self, pack_id: str) -> RulePack | None:
        with suppress(UnknownName):
            return self._judge.pack(pack_id)
        try:
            return self._kept_pack(self._store().pack(pack_id))
        except (UnknownName, UnreadableRules):
            return None

    def _kept_pack(self, kept: PackRecord) -> RulePack:
        if kept.digest not in self._kept_packs:
            # The name is that of the published file, for reasons name it.
            self._kept_packs[kept.digest] = load_pack(kept.text, f"published/{kept.pack_id}.yaml")
        return self._kept_packs[kept.digest]
