"""Whole answers remembered: the same again, under any reference, is not judged again, is recorded, and answers nothing else."""

import asyncio
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.api.builders import HOUSE, OURS, THEIRS, described

from bondwright.assembly import Bondwright, Envelope
from bondwright.assembly.answers import MOST_BYTES, MOST_SENT, Answers
from bondwright.audit.marks import marks_of
from bondwright.audit.record import Search
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.engine.memory import BoundedMemory
from bondwright.errors import NotTheSchema
from bondwright.members import replace
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import PackHead

Make = Callable[[Memory | None], Bondwright]


@pytest.fixture
def asked() -> list[str]:
    """A stage for each question that the rules were asked."""
    return []


@pytest.fixture
def make(packs: tuple[PackHead, ...], record_file: Path, asked: list[str]) -> Iterator[Make]:
    """Makes the service, which notes what its rules are asked; it remembers nothing but whole answers."""
    made: list[Bondwright] = []

    class Noting(TwoChannels):
        """Both channels, noting the stages."""

        def acts(self, stage: str, of: str, rows: Any) -> Any:
            """See Channels."""
            asked.append(stage)
            return super().acts(stage, of, rows)

    def with_memory(answers: Memory | None) -> Bondwright:
        bondwright = Bondwright(
            packs, lambda: SqliteRecordStore(record_file), lambda pack: Noting(pack, Kept()), versions={"service": "1"}, answers=answers
        )
        made.append(bondwright)
        return bondwright

    yield with_memory
    for bondwright in made:
        bondwright.close()


def submitted(bondwright: Bondwright, *descriptions: bytes, key: str | None = None) -> list[Envelope]:
    """The answers, one after the other."""

    async def all_of_them() -> list[Envelope]:
        return [await bondwright.submit(raw, idempotency_key=key) for raw in descriptions]

    return asyncio.run(all_of_them())


def test_the_same_description_again_asks_no_rule(make: Make, asked: list[str]) -> None:
    bondwright = make(BoundedMemory(10))
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    submitted(bondwright, HOUSE)

    assert asked_first > 0
    assert len(asked) == asked_first


def test_without_a_memory_of_answers_it_is_judged_again(make: Make, asked: list[str]) -> None:
    bondwright = make(None)
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    submitted(bondwright, HOUSE)

    assert len(asked) == 2 * asked_first


def test_what_is_answered_again_is_recorded_anew_and_found_alike(make: Make, record_file: Path) -> None:
    bondwright = make(BoundedMemory(10))

    first, second = submitted(bondwright, HOUSE, HOUSE)

    kept = [bondwright.record(one.evaluation_id)[0] for one in (first, second)]
    assert [record.counter for record in kept] == [1, 2]
    assert replace(kept[0], evaluation_id="", recorded_at="", salt=b"", counter=0) == replace(
        kept[1], evaluation_id="", recorded_at="", salt=b"", counter=0
    )
    assert kept[0].salt != kept[1].salt
    store = SqliteRecordStore(record_file)
    assert [marks_of(kept[1].evaluation_bytes)] * 2 == [store.marks("local", counter) for counter in (1, 2)]
    store.close()


def test_what_is_answered_again_replays_to_its_bytes(make: Make) -> None:
    bondwright = make(BoundedMemory(10))

    _, second = submitted(bondwright, HOUSE, HOUSE)

    assert bondwright.replay(second.evaluation_id).same_bytes == "same"


def test_what_is_answered_again_counts_as_often(make: Make) -> None:
    once, twice = make(BoundedMemory(10)), make(BoundedMemory(10))
    submitted(once, HOUSE)

    submitted(twice, HOUSE, HOUSE)

    first, both = once.figures(), twice.figures()
    assert {pack: 2 * count for pack, count in first.recorded.items()} == dict(both.recorded)
    assert {of: 2 * count for of, count in first.verdicts.items()} == dict(both.verdicts)


def under(reference: Any, description: bytes = HOUSE) -> bytes:
    """The same description under another reference, written otherwise as well."""
    return json.dumps(json.loads(description) | {"reference": reference}, indent=1).encode()


def test_a_description_that_says_something_else_is_judged_by_itself(make: Make, asked: list[str]) -> None:
    bondwright = make(BoundedMemory(10))
    other = json.dumps(json.loads(HOUSE) | {"services": []}).encode()
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    (answer,) = submitted(bondwright, other)

    assert len(asked) > asked_first
    assert answer.body.endswith(bondwright.evaluate(other).body + b"}")


@pytest.mark.parametrize("reference", ["Sandpiper Row 4", "", 'a \\ and a " in it', "x" * 80])
def test_the_same_description_under_another_reference_asks_no_rule(make: Make, asked: list[str], reference: str) -> None:
    bondwright, other = make(BoundedMemory(10)), under(reference)
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    (answer,) = submitted(bondwright, other)

    assert len(asked) == asked_first
    assert answer.body.endswith(bondwright.evaluate(other).body + b"}")
    record, _ = bondwright.record(answer.evaluation_id)
    assert record.input_bytes == other
    assert [one.evaluation_id for one in bondwright.find(Search(reference=reference or None), 1, 9)] == [answer.evaluation_id]
    assert bondwright.replay(answer.evaluation_id).same_bytes == "same"


def test_a_description_without_a_reference_is_answered_from_one_with_it(make: Make, asked: list[str]) -> None:
    bondwright = make(BoundedMemory(10))
    without = json.dumps({name: value for name, value in json.loads(HOUSE).items() if name != "reference"}).encode()
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    (answer,) = submitted(bondwright, without)

    assert len(asked) == asked_first
    assert answer.body.endswith(bondwright.evaluate(without).body + b"}")


@pytest.mark.parametrize("reference", ["x" * 81, "caf\u00e9", 4, None, ["Sandpiper Row 4"]])
def test_a_reference_that_may_not_be_is_refused_though_all_else_was_answered(make: Make, reference: Any) -> None:
    bondwright = make(BoundedMemory(10))
    submitted(bondwright, HOUSE)

    with pytest.raises(NotTheSchema) as refused:
        submitted(bondwright, under(reference))

    assert [fault.pointer for fault in refused.value.faults] == ["/reference"]


def test_an_answer_under_another_reference_belongs_to_its_tenant(make: Make, asked: list[str]) -> None:
    bondwright = make(BoundedMemory(10))
    submitted(bondwright, HOUSE)
    asked_first = len(asked)

    asyncio.run(bondwright.submit(under("Sandpiper Row 4"), THEIRS))

    assert len(asked) == 2 * asked_first


def test_what_is_answered_again_costs_as_much(make: Make) -> None:
    bondwright = make(BoundedMemory(10))
    first = bondwright.price(HOUSE)

    submitted(bondwright, HOUSE)

    assert (bondwright.price(HOUSE), bondwright.price(HOUSE, THEIRS)) == (first, first)


def test_what_is_refused_is_refused_again(make: Make) -> None:
    bondwright = make(BoundedMemory(10))

    for _ in range(2):
        with pytest.raises(NotTheSchema):
            submitted(bondwright, described(services=[{"kind": "custard"}]))


def test_a_request_sent_again_under_its_key_is_answered_as_before(make: Make) -> None:
    bondwright = make(BoundedMemory(10))

    first, second = submitted(bondwright, HOUSE, HOUSE, key="k")

    assert first.body == second.body
    assert [first.is_repeated, second.is_repeated] == [False, True]


@pytest.mark.parametrize("withdrawn", [(), ("bs7671-2018-a4-r1",)])
def test_an_answer_belongs_to_its_packs_and_its_tenant(make: Make, packs: tuple[PackHead, ...], withdrawn: tuple[str, ...]) -> None:
    memory, evaluated = Kept(), make(None).evaluate(HOUSE)
    here = Answers(memory, packs, withdrawn)

    kept = here.keep(OURS, HOUSE, evaluated.pack, evaluated.evaluation, evaluated.body)

    assert here.before(OURS, HOUSE) is kept
    assert here.before(THEIRS, HOUSE) is None
    assert Answers(memory, packs[1:], withdrawn).before(OURS, HOUSE) is None
    assert Answers(memory, packs, (*withdrawn, "bs7671-2018-a4-r2")).before(OURS, HOUSE) is None


@pytest.mark.parametrize(("more", "is_kept"), [(0, True), (1, False)])
def test_a_large_answer_is_not_remembered(make: Make, packs: tuple[PackHead, ...], more: int, is_kept: bool) -> None:
    evaluated, large = make(None).evaluate(HOUSE), HOUSE.ljust(MOST_SENT + more)
    of_answers, of_descriptions = Answers(Kept(), packs, ()), Answers(Kept(), packs, ())

    of_answers.keep(OURS, HOUSE, evaluated.pack, evaluated.evaluation, b" " * (MOST_BYTES + more))
    of_descriptions.keep(OURS, large, evaluated.pack, evaluated.evaluation, evaluated.body)

    assert (of_answers.before(OURS, HOUSE) is not None) is is_kept
    assert (of_descriptions.before(OURS, large) is not None) is is_kept
