"""Names every real part once, and what the commands and the API do with them: evaluate, record, answer.

pack chosen by the work's date → evaluated through both channels → recorded → answered
"""

import hashlib
import logging
import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib.metadata import version
from threading import Lock
from typing import Protocol

import orjson
from uuid_utils import uuid7

from bondwright.audit.difference import Replay, first_difference, packs_named
from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.record import NewRecord, PackRecord, Record, RecordStore, Search, Summary
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction, EngineDisagreement, EngineFault, Fault, Refused, UnknownName, UnreadableRules
from bondwright.evaluate.answer import AlsoUsable, Evaluation, evaluation_bytes
from bondwright.evaluate.editions import also_usable, lawful
from bondwright.evaluate.evaluation import chosen_date, evaluate
from bondwright.installation.description import Installation
from bondwright.installation.documents import read_document
from bondwright.installation.reading import read_installation
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.pack import RulePack
from bondwright.settings import Settings
from bondwright.shelf.packs import in_order, load_pack, published_packs, rules_folder

TENANT = "local"
"""Whose records these are until keys exist."""

HANG_LIMIT_S = 5.0
"""An engine call that takes longer ends the process; a usual one takes some 0.001 s."""

_PAGE = 100
_log = logging.getLogger(__name__)


class Channels(Protocol):
    """Both channels of one pack."""

    def acting(self, stage: str, of: str, rows: Sequence[Facts]) -> list[frozenset[str]]:
        """Ids of the rules that act on each row. Raises: EngineDisagreement, EngineFault."""
        ...

    def close(self) -> None:
        """Frees what they hold."""
        ...


@dataclass(frozen=True, slots=True)
class Evaluated:
    """A description and what became of it; `body` is the evaluation as it is answered, stored and digested."""

    installation: Installation
    pack: RulePack
    evaluation: Evaluation
    body: bytes


@dataclass(frozen=True, slots=True)
class Envelope:
    """A recorded evaluation as answered: `body` is `{evaluation_id, recorded_at, versions, evaluation}`, the same bytes every time."""

    evaluation_id: str
    pack_id: str
    body: bytes


class Bondwright:
    """The service without its front: give it bytes, get answers. May be shared between threads; close it at the end."""

    def __init__(
        self,
        packs: Sequence[RulePack],
        open_store: Callable[[], RecordStore],
        build_channels: Callable[[RulePack], Channels],
        *,
        versions: Mapping[str, str],
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        new_id: Callable[[], str] = lambda: str(uuid7()),
        new_salt: Callable[[], bytes] = lambda: secrets.token_bytes(16),
    ) -> None:
        """The store is opened and a pack's channels are built when first needed. `versions`: what answers, by name."""
        self.packs = in_order(packs)
        self._open_store, self._build_channels = open_store, build_channels
        self._versions, self._clock, self._new_id, self._new_salt = dict(versions), clock, new_id, new_salt
        self._opening = Lock()
        self._opened: RecordStore | None = None
        self._channels: dict[str, Channels] = {}
        self._kept_packs: dict[str, RulePack] = {}

    def pack(self, reference: str) -> RulePack:
        """The pack of that id or digest. Raises: UnknownName."""
        for pack in self.packs:
            if reference in (pack.pack_id, pack.digest):
                return pack
        raise UnknownName("rule pack", reference)

    def choose_pack(self, installation: Installation) -> RulePack:
        """The pack that the description names, else the newest in use on the day of the work; the newest of all where none was.

        Raises: UnreadableRules, if nothing is published; Contradiction, if the pack that is named is not.
        """
        return self._lawful(installation)[-1]

    def evaluate(self, raw: bytes) -> Evaluated:
        """The answer to a description, recorded nowhere. Raises: Refused, EngineDisagreement, EngineFault."""
        installation = read_installation(raw)
        *others, pack = self._lawful(installation)
        used = self._judged(installation, pack)
        also = tuple(also_usable(used, other, self._judged(installation, other)) for other in reversed(others))
        evaluation = replace(used, pack=replace(used.pack, also_usable=also))
        return Evaluated(installation, pack, evaluation, evaluation_bytes(evaluation))

    def _lawful(self, installation: Installation) -> tuple[RulePack, ...]:
        """The packs that may judge the work, the one to use last: at least one. Only a pack that is named judges where one is."""
        if installation.rule_pack:
            return (self._named(installation.rule_pack),)
        _, day = chosen_date(installation)
        packs = self._published()
        newest = [pack for pack in packs if not pack.on_request] or packs
        return lawful(packs, day) or (newest[-1],)

    def _named(self, reference: str) -> RulePack:
        try:
            return self.pack(reference)
        except UnknownName:
            way_out = "no rule pack of this id or digest is published; leave it out, and the date of the work chooses"
            raise Contradiction((Fault("/rule_pack", way_out),)) from None

    def _judged(self, installation: Installation, pack: RulePack) -> Evaluation:
        try:
            return evaluate(installation, pack, self._channels_of(pack).acting)
        except EngineDisagreement as error:
            _log.error("no verdict given: pack %s, stage %s: %s", pack.pack_id, error.stage, "; ".join(error.differences))
            raise

    def calculate(self, name: str, raw: bytes) -> CalculationAnswer:
        """The answer of a calculation, recorded nowhere. Raises: UnknownName; Refused; EngineDisagreement, EngineFault."""
        if name not in CALCULATIONS:
            raise UnknownName("calculation", name)
        calculation = CALCULATIONS[name]
        inputs, _ = read_document(raw, calculation.inputs)
        newest = [pack for pack in self._published() if not pack.on_request] or list(self._published())
        pack = self._named(inputs.rule_pack) if inputs.rule_pack else newest[-1]
        return calculate(calculation, inputs, pack, self._channels_of(pack).acting)

    async def submit(self, raw: bytes) -> Envelope:
        """The answer to a description, once its record would survive a power cut. Raises as `evaluate`, and RecordBroken."""
        evaluated = self.evaluate(raw)
        record = NewRecord(
            evaluation_id=self._new_id(),
            tenant=TENANT,
            recorded_at=self._clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z",
            salt=self._new_salt(),
            input_bytes=raw,
            evaluation_bytes=evaluated.body,
            evaluation_digest=hashlib.sha256(evaluated.body).hexdigest(),
            pack_id=evaluated.pack.pack_id,
            pack_digest=evaluated.pack.digest,
            versions=self._versions,
        )
        return _envelope(await self._store().append_soon(record, evaluated.pack.text))

    def stored(self, evaluation_id: str) -> Envelope:
        """A recorded evaluation, in the bytes in which it was answered. Raises: UnknownName, RecordBroken."""
        return _envelope(self._store().get(TENANT, evaluation_id))

    def find(self, wanted: Search, after: int | None, limit: int) -> tuple[Summary, ...]:
        """Summaries of the recorded evaluations that fit, with a counter above `after`, rising. Raises: RecordBroken."""
        return self._store().find(TENANT, wanted, after, limit)

    def record(self, evaluation_id: str) -> tuple[Record, PackRecord]:
        """All that is kept of an evaluation, and the rule pack as it stood. Raises: UnknownName, RecordBroken."""
        record = self._store().get(TENANT, evaluation_id)
        return record, self._store().pack(record.pack_digest)

    def recorded_ids(self) -> Iterator[str]:
        """The id of every recorded evaluation, in the order of their counters. Raises: RecordBroken."""
        after = 0
        while page := self.find(Search(), after, _PAGE):
            yield from (summary.evaluation_id for summary in page)
            after = page[-1].counter

    def replay(self, evaluation_id: str) -> Replay:
        """The stored description evaluated again by the stored pack, compared with the stored answer byte for byte.

        The pack is read from the text that the record keeps. What the answer says of other packs is worked out again for the packs that
        it names, in its order: they come from the published packs, else from the record, and where neither has one its entry is
        taken as it stands and `not_at_hand` names it. Packs published since are so no difference: `published_since` names them.
        Raises: UnknownName, RecordBroken.
        """
        record, kept = self.record(evaluation_id)
        named = packs_named(record.evaluation_bytes)
        others = {pack_id: self._at_hand(pack_id) for pack_id in named}
        missing = tuple(pack_id for pack_id, pack in others.items() if pack is None)
        versions = dict(record.versions), self._versions
        told = Replay(evaluation_id, record.pack_id, record.pack_digest, False, *versions, not_at_hand=missing)
        try:
            pack = self._kept_pack(kept)
            installation = read_installation(record.input_bytes)
            if self.packs and not installation.rule_pack:
                usable = {other.pack_id for other in self._lawful(installation)} - {record.pack_id, *named}
                told = replace(told, published_since=tuple(sorted(usable)))
            used = self._judged(installation, pack)
            also = tuple(
                also_usable(used, other, self._judged(installation, other)) if other else AlsoUsable(pack_id, *named[pack_id])
                for pack_id, other in others.items()
            )
        except (Refused, UnreadableRules, EngineDisagreement, EngineFault) as error:
            return replace(told, not_evaluated=str(error))
        now = evaluation_bytes(replace(used, pack=replace(used.pack, also_usable=also)))
        difference = first_difference(record.evaluation_bytes, now)
        return replace(told, same=difference is None, difference=difference)

    def exported(self) -> Iterator[bytes]:
        """The whole record as lines. Raises: RecordBroken."""
        return lines_of(self._store(), TENANT)

    def take_in(self, lines: Iterable[bytes]) -> int:
        """How many of these records were new and added. Raises: RecordBroken."""
        return take_in(self._store(), lines)

    def _at_hand(self, pack_id: str) -> RulePack | None:
        with suppress(UnknownName):
            return self.pack(pack_id)
        try:
            return self._kept_pack(self._store().pack(pack_id))
        except (UnknownName, UnreadableRules):
            return None

    def _kept_pack(self, kept: PackRecord) -> RulePack:
        if kept.digest not in self._kept_packs:
            # The name is that of the published file, for reasons name it.
            self._kept_packs[kept.digest] = load_pack(kept.text, f"published/{kept.pack_id}.yaml")
        return self._kept_packs[kept.digest]

    def ready(self) -> None:
        """Nothing, if evaluations can be answered: packs are loaded and run, and the record takes durable writes.

        Raises: UnreadableRules, if nothing is published; EngineFault; RecordBroken.
        """
        for pack in self._published():
            self._channels_of(pack)
        self._store().check()

    def close(self) -> None:
        """Nothing, once everything handed over is kept and the engine's memory is free."""
        with self._opening:
            if self._opened is not None:
                self._opened.close()
            for channels in self._channels.values():
                channels.close()

    def _published(self) -> tuple[RulePack, ...]:
        if not self.packs:
            raise UnreadableRules("published", 1, 1, "no rule pack is published; publish one")
        return self.packs

    def _store(self) -> RecordStore:
        with self._opening:
            if self._opened is None:
                self._opened = self._open_store()
            return self._opened

    def _channels_of(self, pack: RulePack) -> Channels:
        with self._opening:
            if pack.digest not in self._channels:
                self._channels[pack.digest] = self._build_channels(pack)
            return self._channels[pack.digest]


def build(settings: Settings, candidate: RulePack | None = None) -> Bondwright:
    """The real thing: published packs, `candidate` as if it were one, both channels, the record there. Raises: UnreadableRules."""
    packs = [pack for pack in published_packs(rules_folder()) if not candidate or pack.pack_id != candidate.pack_id]
    return Bondwright(
        [*packs, candidate] if candidate else packs,
        lambda: SqliteRecordStore(settings.data_folder / "record.sqlite"),
        lambda pack: TwoChannels(pack, hang_limit_s=HANG_LIMIT_S),
        versions={"service": version("bondwright"), "durable-rules": version("durable-rules")},
    )


def _envelope(record: NewRecord) -> Envelope:
    # The evaluation is spliced in as the bytes that were digested; nothing parses or writes it again.
    head = {"evaluation_id": record.evaluation_id, "recorded_at": record.recorded_at, "versions": dict(record.versions)}
    opening = orjson.dumps(head, option=orjson.OPT_SORT_KEYS)[:-1]
    return Envelope(record.evaluation_id, record.pack_id, opening + b',"evaluation":' + record.evaluation_bytes + b"}")
