"""How long a command that goes through many records will take, in words."""

_MINUTE_S = 60
_HOUR_S = 3600


def pace(done: int, of: int, done_before: int, spent_s: float) -> str:
    """How far it is, how fast it goes and what is left.

    `done_before`: how many of those done were done before the `spent_s` began.

    >>> pace(1200, 5000, 200, 10.0)
    '1,200 of 5,000 records, 100 a second, about 38 s left'
    """
    told = f"{done:,} of {of:,} records"
    if done <= done_before or spent_s <= 0:
        return told
    rate = (done - done_before) / spent_s
    return f"{told}, {rate:,.{0 if rate >= 1 else 2}f} a second, about {_words((of - done) / rate)} left"


def _words(seconds: float) -> str:
    if seconds < 2 * _MINUTE_S:
        return f"{seconds:.0f} s"
    return f"{seconds / _MINUTE_S:.0f} minutes" if seconds < 2 * _HOUR_S else f"{seconds / _HOUR_S:.1f} hours"
