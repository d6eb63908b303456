"""What the commands and the API ask: evaluate, record, answer.

pack chosen by the work's date → evaluated through both channels → recorded → answered
"""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import lru_cache, partial
from pathlib import Path
from threading import Lock
from typing import TypeVar

from uuid_utils import uuid7

from bondwright.assembly.answers import Answer, Answers
from bondwright.assembly.figures import Figures, Tally
from bondwright.assembly.impact import Comparer, Impact
from bondwright.assembly.judging import Channels, Evaluated, Judge
from bondwright.assembly.recording import TENANT, Envelope, Salts, envelope, record_of
from bondwright.assembly.replaying import Replayer
from bondwright.assembly.sharing.apart import Apart
from bondwright.assembly.sharing.prices import demand_affordable, price_of, price_of_calculation
from bondwright.assembly.sharing.turns import Turns
from bondwright.assembly.tracing import span
from bondwright.audit.comparing.difference import Replay
from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.indexed import WronglyIndexed
from bondwright.audit.record import NewRecord, Once, PackRecord, Record, RecordStore, Search, Summary
from bondwright.audit.walk import Unreadable
from bondwright.calculations.answer import CalculationAnswer, answer_bytes
from bondwright.errors import NothingKept
from bondwright.installation.description import Installation
from bondwright.installation.terms import Terms
from bondwright.report.page.written import Asked
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import USUAL_LIMITS, Limits

Done = TypeVar("Done")

_PAGE, _MOST_DAYS = 100, 1_000


class Bondwright:
    """The service without its front: give it bytes, get answers. May be shared between threads; close it at the end."""

    def __init__(
        self,
        packs: Sequence[PackHead],
        open_store: Callable[[], RecordStore],
        build_channels: Callable[[RulePack], Channels],
        *,
        versions: Mapping[str, str],
        withdrawn: Mapping[str, Withdrawal] | None = None,
        memory: Memory | None = None,
        answers: Memory | None = None,
        limits: Limits = USUAL_LIMITS,
        apart: Apart | None = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        new_id: Callable[[], str] = lambda: str(uuid7()),
        new_salt: Callable[[], bytes] | None = None,
    ) -> None:
        """The store is opened, a pack's rules read and its channels built when first needed. `versions`: what answers, by name.

        `withdrawn`: those of the packs that are, by pack_id. `memory`: what keeps conclusions between evaluations; `answers`: what keeps
        whole answers, none without it. `limits`: prices among them. `apart`: what evaluates what costs much, which is else done here.
        """
        self._judge = Judge(packs, build_channels, withdrawn, memory)
        self._answers = Answers(answers, packs, withdrawn or ())
        self._replayer = Replayer(self._judge, self._store, versions)
        self._versions, self._clock, self._new_id, self._new_salt = dict(versions), clock, new_id, new_salt or Salts().next
        self._open_store, self._editions = open_store, lru_cache(_MOST_DAYS)(self._judge.editions)
        self._tally, self._limits, self._apart = Tally(), limits, apart
        # Beside the event loop, which goes on answering: with 64 connections /livez took 0.03 s where it took 0.7, as many were
        # evaluated (2026-11-25). One thread, for more would only take the interpreter from each other; the second waits for `apart`.
        self._here, self._there, self._opening = Turns("judging"), Turns("judged apart"), Lock()
        self._opened: RecordStore | None = None

    @property
    def packs(self) -> tuple[PackHead, ...]:
        """The published packs, first usable first."""
        return self._judge.packs

    @property
    def terms(self) -> Terms:
        """What descriptions may say: what the packs that stand have of it. Raises: UnreadableRules."""
        return self._judge.terms

    @property
    def say(self) -> Sentences:
        """The sentences of the pack that calculates where none is named. Raises: UnreadableRules."""
        return self._judge.say

    def pack(self, reference: str) -> RulePack:
        """The pack of that id or digest. Raises: UnknownName."""
        return self._judge.pack(reference)

    @property
    def withdrawn(self) -> Mapping[str, Withdrawal]:
        """The packs that are withdrawn, by pack_id."""
        return self._judge.withdrawn

    def choose_pack(self, installation: Installation) -> RulePack:
        """The pack that decides, see `Judge.lawful`. Raises as that."""
        return self._judge.lawful(installation)[-1].whole()

    def evaluate(self, raw: bytes) -> Evaluated:
        """The answer to a description, recorded nowhere. Raises: Refused, EngineDisagreement, EngineFault."""
        with span("evaluate"):
            return self._judge.evaluate(raw)

    def calculate(self, name: str, raw: bytes) -> CalculationAnswer:
        """The answer of a calculation, recorded nowhere. Raises: UnknownName; Refused; EngineDisagreement, EngineFault."""
        return self._judge.calculate(name, raw)

    def price(self, raw: bytes, tenant: str = TENANT) -> int:
        """What it costs the tenant to evaluate a description. Raises: TooMuch, if it costs more than is taken on."""
        if (before := self._answers.before(tenant, raw)) and before.price:
            return before.price
        return demand_affordable(raw, self._limits.prices, self._editions, self._limits.most_price)

    async def submit(self, raw: bytes, tenant: str = TENANT, idempotency_key: str | None = None, price: int | None = None) -> Envelope:
        """The answer to a description, once its record would survive a power cut.

        With `idempotency_key`, the first answer that the tenant got to the same bytes under that key, if there is one. `price`: of it,
        if the caller knows it.
        Raises as `evaluate`; TooMuch, if it costs too much; CutOff; RecordBroken; SentBefore, if the key came with other bytes.
        """
        once = Once(idempotency_key, hashlib.sha256(raw).hexdigest()) if idempotency_key else None
        cost = self.price(raw, tenant) if price is None else price
        # What was answered before needs no thread, unless it is to be looked for in the record first.
        answer, store = None if once else self._answers.before(tenant, raw), self._opened
        if answer is None or store is None:
            found = await self._in_turn(tenant, cost, partial(self._found, raw, tenant, once, cost))
            if isinstance(found, Record):
                return envelope(found, self.withdrawn, is_repeated=True)
            store, answer = found
        record = record_of(answer, raw, tenant, self._new_id(), self._clock(), self._new_salt(), self._versions)
        with span("record"):
            kept = await store.append_soon(record, answer.pack.text, once, answer.told)
        if kept.evaluation_id != record.evaluation_id:
            return envelope(kept, self.withdrawn, is_repeated=True)
        self._tally.add(kept.pack_id, answer.verdicts)
        return envelope(kept, self.withdrawn)

    def is_apart(self, price: int) -> bool:
        """Whether what costs so much is worked out by the other process, where it may wait for long."""
        return self._apart is not None and price > self._limits.apart_above

    @property
    def most_price(self) -> int:
        """What a description may cost."""
        return self._limits.most_price

    def price_of_calculation(self, raw: bytes) -> int:
        """What a calculation costs that is asked so."""
        return price_of_calculation(raw, self._limits.prices)

    @property
    def price_of_search(self) -> int:
        """What each page of a search costs."""
        return round(self._limits.prices.search)

    def kept(self, evaluation_id: str, tenant: str = TENANT) -> Record:
        """What is kept of an evaluation, but for the rule pack. Raises: UnknownName, RecordBroken."""
        return self._store().get(tenant, evaluation_id)

    async def replayed(self, record: Record) -> Replay:
        """A recorded evaluation worked out again when it is its tenant's turn. Raises as `replay`; CutOff."""
        price = self.price_of_replay(record)
        work_out = self._apart.work_out if self._apart is not None and self.is_apart(price) else None
        return await self._in_turn(record.tenant, price, partial(self._replayer.replay, record, work_out))

    async def page(self, record: Record, asked: Asked) -> str:
        """A text of a recorded evaluation, when it is its tenant's turn, see `Replayer.page`. Raises as that; CutOff."""
        price = self.price_of_replay(record)
        page_out = self._apart.page if self._apart is not None and self.is_apart(price) else None
        return await self._in_turn(record.tenant, price, partial(self._replayer.page, record, asked, page_out))

    def price_of_replay(self, record: NewRecord) -> int:
        """What it costs to work a record out again: as much as to evaluate it, however much that is."""
        return price_of(record.input_bytes, self._limits.prices, self._editions)

    async def calculated(self, name: str, raw: bytes, tenant: str = TENANT) -> tuple[str, bytes]:
        """The id of the pack and the bytes of the answer of a calculation, when it is the tenant's turn. Raises as `calculate`; CutOff."""
        price = self.price_of_calculation(raw)
        if self._apart is not None and self.is_apart(price):
            return await self._there.done(tenant, price, partial(self._apart.calculate, name, raw))
        answer = await self._here.done(tenant, price, partial(self.calculate, name, raw))
        return answer.pack_id, answer_bytes(answer)

    def stored(self, evaluation_id: str, tenant: str = TENANT) -> Envelope:
        """A recorded evaluation, in the bytes in which it was answered. Raises: UnknownName, RecordBroken."""
        return envelope(self._store().get(tenant, evaluation_id), self.withdrawn)

    async def outlined(self, record: NewRecord) -> bytes:
        """The outline of a record, when it is its tenant's turn, for an answer may be large. Raises as `Replayer.outline`."""
        return await self._in_turn(record.tenant, self.price_of_replay(record), partial(self._replayer.outline, record))

    def find(self, wanted: Search, after: int | None, limit: int, tenant: str = TENANT) -> tuple[Summary, ...]:
        """Summaries of the recorded evaluations that fit, with a counter above `after`, rising. Raises: RecordBroken."""
        return self._store().find(tenant, wanted, after, limit)

    def resting_on_withdrawn(self, tenant: str = TENANT) -> Iterator[Summary]:
        """Summaries of the tenant's evaluations that rest on a withdrawn pack, by counter. Raises: RecordBroken."""
        wanted, after = Search(packs=tuple(self.withdrawn)), 0
        while self.withdrawn and (found := self.find(wanted, after, _PAGE, tenant)):
            yield from found
            after = found[-1].counter

    def record(self, evaluation_id: str, tenant: str = TENANT) -> tuple[Record, PackRecord]:
        """All that is kept of an evaluation, and the rule pack as it stood. Raises: UnknownName, RecordBroken."""
        record = self._store().get(tenant, evaluation_id)
        return record, self._store().pack(record.pack_digest)

    def replay(self, evaluation_id: str, tenant: str = TENANT) -> Replay:
        """A recorded evaluation worked out again, see Replayer. Raises: UnknownName, RecordBroken."""
        return self._replayer.replay(self._store().get(tenant, evaluation_id))

    def replay_all(self, tenant: str = TENANT) -> Iterator[tuple[Replay | Unreadable, WronglyIndexed | None]]:
        """Every recorded evaluation worked out again, see Replayer. Raises: RecordBroken, if the record cannot be read at all."""
        return self._replayer.every(tenant)

    def impact(
        self,
        candidate: RulePack,
        progress: Path | None = None,
        go_on: Callable[[int, int], bool] = lambda _, __: True,
        tenant: str = TENANT,
    ) -> Impact:
        """What `candidate`, one of the packs, would say otherwise of what is recorded, see Comparer. Raises as that."""
        return Comparer(self._judge, candidate, self._versions).compare(self._store(), tenant, progress, go_on)

    def tenants(self) -> Mapping[str, int]:
        """How many records each tenant has, by its name, in their order. Raises: NothingKept, RecordBroken."""
        return {tenant: self._store().count(tenant) for tenant in self._store().tenants()}

    def demand_records(self, tenant: str = TENANT) -> None:
        """Nothing, if the tenant has a record. Raises: NothingKept, RecordBroken."""
        if not self._store().count(tenant) and not self.find(Search(), None, 1, tenant):
            raise NothingKept(f"tenant {tenant} has no record here; `bondwright tenants` lists who has, --tenant names one")

    def exported(self, tenant: str = TENANT) -> Iterator[bytes]:
        """The whole record as lines. Raises: RecordBroken."""
        return lines_of(self._store(), tenant)

    def take_in(self, lines: Iterable[bytes]) -> int:
        """How many of these records were new and added. Raises: RecordBroken."""
        return take_in(self._store(), lines)

    def ready(self) -> None:
        """Nothing, if evaluations can be answered: the packs for today's work are loaded and run, and the record takes durable writes.

        Raises: UnreadableRules, if nothing is published; EngineFault; RecordBroken; CutOff, if what costs much cannot be evaluated.
        """
        self._judge.ready(self._clock().date())
        self._store().check()
        if self._apart is not None:
            self._apart.check()

    def figures(self) -> Figures:
        """What was counted so far; touches neither rules nor record."""
        writing, started = self._opened.writing if self._opened else None, self._apart.started if self._apart else 0
        return self._tally.figures(self._judge.situations(), writing, {"here": self._here.waiting, "apart": self._there.waiting}, started)

    def close(self) -> None:
        """Nothing, once everything handed over is kept and the engine's memory is free."""
        for one in (self._apart, self._there, self._here):
            if one is not None:
                one.close()
        with self._opening:
            if self._opened is not None:
                self._opened.close()
        self._judge.close()

    async def _in_turn(self, tenant: str, price: int, work: Callable[[], Done]) -> Done:
        return await (self._there if self.is_apart(price) else self._here).done(tenant, price, work)

    def _found(self, raw: bytes, tenant: str, once: Once | None, price: int) -> Record | tuple[RecordStore, Answer]:
        """The record of a request that was answered before; else where to keep it and what to keep."""
        store = self._store()
        if once and (first := store.answered(tenant, once)):
            return first
        if answer := self._answers.before(tenant, raw) or self._answers.under_other_reference(tenant, raw):
            return store, answer
        if self._apart is not None and self.is_apart(price):
            with span("evaluate"):
                done = self._apart.evaluate(raw)
            return store, Answer(self._judge.pack(done.pack_digest), done.told, done.verdicts)
        evaluated = self.evaluate(raw)
        return store, self._answers.keep(tenant, raw, evaluated.pack, evaluated.evaluation, evaluated.body, price)

    def _store(self) -> RecordStore:
        with self._opening:
            if self._opened is None:
                self._opened = self._open_store()
            return self._opened
