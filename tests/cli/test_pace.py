"""How far a long command is, and how long it will take, in words."""

import pytest

from bondwright.cli.recorded.pace import pace


@pytest.mark.parametrize(
    ("done", "of", "done_before", "spent_s", "told"),
    [
        (0, 5000, 0, 0.0, "0 of 5,000 records"),
        (1200, 5000, 1200, 3.0, "1,200 of 5,000 records"),
        (1200, 5000, 200, 10.0, "1,200 of 5,000 records, 100 a second, about 38 s left"),
        (1200, 100_000, 200, 10.0, "1,200 of 100,000 records, 100 a second, about 16 minutes left"),
        (1200, 10_000_000, 200, 10.0, "1,200 of 10,000,000 records, 100 a second, about 27.8 hours left"),
        (1, 5, 0, 4.0, "1 of 5 records, 0.25 a second, about 16 s left"),
    ],
)
def test_pace_is_told_in_words(done: int, of: int, done_before: int, spent_s: float, told: str) -> None:
    assert told == pace(done, of, done_before, spent_s)
