"""Allowances: never more than the rate lets in over any stretch of time, never refused where something is left."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.assembly.quota import WINDOW_S, Allowance, Quota
from bondwright.errors import QuotaSpent


@dataclass
class Clock:
    """Seconds, put forward by hand."""

    now: float = 0.0

    def __call__(self) -> float:
        return self.now


def test_what_is_spent_is_told_and_comes_back_evenly() -> None:
    clock = Clock()
    quota = Quota(60, clock)

    told = [quota.spend("k", 1)]
    clock.now += 0.5
    told.append(quota.spend("k", 1))
    clock.now += 60
    told.append(quota.spend("k", 1))

    assert told == [Allowance(60, 59, 1), Allowance(60, 58, 2), Allowance(60, 59, 1)]


def test_when_all_is_spent_the_wait_is_told_and_is_enough() -> None:
    clock = Clock()
    quota = Quota(30, clock)
    for _ in range(30):
        quota.spend("k", 1)

    with pytest.raises(QuotaSpent) as spent:
        quota.spend("k", 1)
    clock.now += spent.value.retry_after_s

    assert (spent.value.retry_after_s, quota.spend("k", 1).remaining) == (2, 0)


def test_keys_do_not_share() -> None:
    quota = Quota(1, Clock())

    assert [quota.spend(key, 1).remaining for key in ("a", "b")] == [0, 0]


def test_a_large_batch_is_let_in_whole_and_waited_for_afterwards() -> None:
    clock = Clock()
    quota = Quota(60, clock)

    after = quota.spend("k", 600)
    with pytest.raises(QuotaSpent) as spent:
        quota.spend("k", 1)

    assert (after, spent.value.retry_after_s) == (Allowance(60, 0, 600), 541)


@given(st.integers(1, 100), st.lists(st.floats(0, 30), max_size=60))
def test_single_evaluations_never_exceed_the_rate_and_are_never_refused_below_it(per_minute: int, pauses: list[float]) -> None:
    clock = Clock()
    quota = Quota(per_minute, clock)
    let_in: list[float] = []

    for pause in pauses:
        clock.now += pause
        earned = per_minute + clock.now * per_minute / WINDOW_S
        try:
            quota.spend("k", 1)
            let_in.append(clock.now)
        except QuotaSpent as spent:
            assert 1 <= spent.retry_after_s <= WINDOW_S
            assert any(at > clock.now - WINDOW_S for at in let_in)
        assert len(let_in) <= earned + 1e-6
