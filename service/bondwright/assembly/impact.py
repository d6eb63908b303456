"""All recorded descriptions judged by a candidate pack, where the date of the work or their own word chooses it."""

from collections.abc import Callable, Mapping
from pathlib import Path

from msgspec import Struct

from bondwright.assembly.judging import Judge
from bondwright.audit.comparing.impact import changes
from bondwright.audit.comparing.progress import Anchor, Basis, Progress, other_records, read_progress, write_progress
from bondwright.audit.comparing.tally import Tally
from bondwright.audit.record import Record, RecordStore
from bondwright.audit.walk import Unreadable, last_counter, walked
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.errors import EngineDisagreement, EngineFault, RecordBroken, Refused
from bondwright.rulebook.pack import RulePack

KEPT_EVERY = 100
"""Records after which progress is written: some 0.2 s of work are lost at most; writing takes 2 ms (measured 2026-11)."""


class Impact(Struct, frozen=True):
    """What a pack would change among the first `done` of the `of` records that were kept when the comparison began, or went on."""

    tally: Tally
    done: int
    of: int


class Comparer:
    """Compares what is recorded with what the candidate, one of the judge's packs, says now."""

    def __init__(self, judge: Judge, candidate: RulePack, versions: Mapping[str, str]) -> None:
        """`versions`: what evaluates, by name."""
        self._judge, self._candidate = judge, candidate
        self._ladders = {name: outcome.levels for name, outcome in candidate.outcomes.items()}
        self._versions = dict(versions)

    def compare(self, store: RecordStore, tenant: str, file: Path | None, go_on: Callable[[int, int], bool]) -> Impact:
        """All of the tenant's records compared, or as many as there was time for.

        `file`: where progress is kept, and taken up if it is there; the outcome is the same as without interruption. `go_on` is told
        before each record how many are done, and of how many; it says whether to.
        Raises: UnusableProgress; RecordBroken, if the store cannot be read at all; EngineFault, if the candidate cannot be run.
        """
        self._judge.prepare(self._candidate)
        basis = self._basis(tenant)
        of = last_counter(store, tenant)
        progress = (file and read_progress(file, basis)) or Progress(0, Anchor(), Tally())
        if file:
            _demand_same_records(store, tenant, progress, of, file)
            write_progress(file, basis, progress)
        done, anchor, tally = progress.done, progress.anchor, progress.tally
        kept = done
        for one in walked(store, tenant, done):
            if one.counter > of or not go_on(done, of):
                break
            self._count(one, tally)
            done = one.counter
            anchor = Anchor(done, one.evaluation_id, one.evaluation_digest) if isinstance(one, Record) else anchor
            if file and done - kept >= KEPT_EVERY:
                write_progress(file, basis, Progress(done, anchor, tally))
                kept = done
        if file:
            write_progress(file, basis, Progress(done, anchor, tally))
        return Impact(tally, done, of)

    def _basis(self, tenant: str) -> Basis:
        beside = sorted(pack.digest for pack in self._judge.packs if pack is not self._candidate)
        withdrawn = tuple(sorted(f"{one.pack_id} for {one.successor}" for one in self._judge.withdrawn.values()))
        return Basis(tenant, self._candidate.pack_id, self._candidate.digest, tuple(beside), withdrawn, self._versions)

    def _count(self, one: Record | Unreadable, tally: Tally) -> None:
        if isinstance(one, Unreadable):
            tally.add_not_evaluated()
            return
        try:
            installation = self._judge.read_again(one.input_bytes)
            if self._judge.judging(installation) is not self._candidate:
                tally.add_not_touched()
                return
            now = evaluation_bytes(self._judge.judged(installation, self._candidate))
            found = changes(one.evaluation_bytes, now, self._ladders)
        except (Refused, EngineDisagreement, EngineFault, RecordBroken):
            tally.add_not_evaluated()
            return
        tally.add_judged(one.evaluation_id, found)


def _demand_same_records(store: RecordStore, tenant: str, progress: Progress, last: int, file: Path) -> None:
    anchor = progress.anchor
    if progress.done > last:
        raise other_records(file)
    if anchor == Anchor():
        return
    try:
        found = store.page(tenant, anchor.counter - 1, 1)
    except RecordBroken:
        raise other_records(file) from None
    if not found or (found[0].counter, found[0].evaluation_id, found[0].evaluation_digest) != (
        anchor.counter,
        anchor.evaluation_id,
        anchor.evaluation_digest,
    ):
        raise other_records(file)
