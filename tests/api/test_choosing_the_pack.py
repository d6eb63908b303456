"""Which rule pack decides: the newest in use on the day of the work."""

from datetime import date
from pathlib import Path

import pytest
from tests.api.builders import service
from tests.described import described

from bondwright.errors import Contradiction, UnknownName, UnreadableRules
from bondwright.installation.description import Installation
from bondwright.members import replace
from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal


def work_on(day: str) -> Installation:
    """An inspection on that day."""
    return described({"work": {"kind": "inspection", "inspected_on": str(day)}})


@pytest.fixture
def editions(packs: tuple[PackHead, ...]) -> tuple[PackHead, ...]:
    """Three editions, the first two overlapping, and a second revision of the last; given in no order."""
    pack = packs[-1].whole()
    first = replace(pack, pack_id="book-2018-r1", digest="1" * 64, usable_from=date(2018, 1, 1), usable_to=date(2020, 12, 31))
    second = replace(pack, pack_id="book-2020-r1", digest="2" * 64, usable_from=date(2020, 7, 1), usable_to=date(2021, 12, 31))
    third = replace(pack, pack_id="book-2024-r9", digest="3" * 64, usable_from=date(2024, 1, 1), usable_to=None)
    return (replace(third, pack_id="book-2024-r10", digest="4" * 64), second, third, first)


@pytest.mark.parametrize(
    ("day", "pack_id"),
    [
        ("2018-01-01", "book-2018-r1"),
        ("2020-06-30", "book-2018-r1"),
        ("2020-07-01", "book-2020-r1"),
        ("2021-12-31", "book-2020-r1"),
        ("2022-01-01", "book-2024-r10"),
        ("2024-01-01", "book-2024-r10"),
        ("1999-01-01", "book-2024-r10"),
    ],
)
def test_the_newest_pack_in_use_on_the_day_decides_or_else_the_newest(
    editions: tuple[PackHead, ...], tmp_path: Path, day: str, pack_id: str
) -> None:
    bondwright = service(editions, tmp_path / "record.sqlite")

    chosen = bondwright.choose_pack(work_on(day))

    assert chosen.pack_id == pack_id


SINCE = date(2026, 11, 1)


@pytest.mark.parametrize(
    ("gone", "successor", "day", "pack_id"),
    [
        ("book-2024-r10", "book-2024-r9", "2024-01-01", "book-2024-r9"),
        ("book-2024-r9", "book-2024-r10", "2024-01-01", "book-2024-r10"),
        ("book-2018-r1", "book-2020-r1", "2020-07-01", "book-2020-r1"),
        ("book-2020-r1", "book-2018-r1", "2020-07-01", "book-2018-r1"),
        ("book-2018-r1", "book-2024-r10", "2020-07-01", "book-2020-r1"),
        ("book-2024-r10", "book-2024-r9", "2022-06-01", "book-2024-r9"),
        ("book-2024-r10", "book-2018-r1", "1999-01-01", "book-2024-r9"),
    ],
)
def test_a_date_never_chooses_a_withdrawn_pack(
    editions: tuple[PackHead, ...], tmp_path: Path, gone: str, successor: str, day: str, pack_id: str
) -> None:
    bondwright = service(editions, tmp_path / "record.sqlite", withdrawn=[Withdrawal(gone, "wrong", SINCE, successor)])

    assert bondwright.choose_pack(work_on(day)).pack_id == pack_id


@pytest.mark.parametrize(
    ("gone", "successor", "day"),
    [
        (["book-2018-r1"], "book-2024-r10", "2018-06-01"),
        (["book-2020-r1"], "book-2024-r10", "2020-08-01"),
        (["book-2024-r9", "book-2024-r10"], "book-2018-r1", "2024-06-01"),
        (["book-2024-r10"], "book-2020-r1", "2024-06-01"),
    ],
)
def test_where_the_pack_to_use_is_withdrawn_and_its_successor_was_not_in_use_nothing_is_judged(
    editions: tuple[PackHead, ...], tmp_path: Path, gone: list[str], successor: str, day: str
) -> None:
    withdrawn = [Withdrawal(pack_id, "wrong", SINCE, successor) for pack_id in gone]
    bondwright = service(editions, tmp_path / "record.sqlite", withdrawn=withdrawn)

    with pytest.raises(Contradiction) as refused:
        bondwright.choose_pack(work_on(day))

    (fault,) = refused.value.faults
    assert fault.pointer == "/work/inspected_on"
    assert f"{gone[-1]} is withdrawn since 2026-11-01 (wrong); {successor} stands in its place, and was not in use" in fault.detail


def test_the_service_is_not_ready_where_today_has_no_pack_that_stands(editions: tuple[PackHead, ...], tmp_path: Path) -> None:
    withdrawn = [Withdrawal(pack_id, "wrong", SINCE, "book-2020-r1") for pack_id in ("book-2024-r9", "book-2024-r10")]
    bondwright = service(editions, tmp_path / "record.sqlite", withdrawn=withdrawn)

    with pytest.raises(UnreadableRules, match=r"withdrawn.yaml:1:1: .* is not in use on 2026-11-25; publish one that is"):
        bondwright.ready()
    bondwright.close()


def test_an_unknown_pack_has_no_name_to_answer_with(tmp_path: Path, packs: tuple[PackHead, ...]) -> None:
    bondwright = service(packs, tmp_path / "record.sqlite")

    with pytest.raises(UnknownName):
        bondwright.pack("book-1999-r1")
