"""Being asked to stop: heard between two steps of the work, never in the middle of one."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def hearing() -> Iterator[list[int]]:
    """Numbers of the signals that asked to stop: the first is heard between two steps, a second ends the process at once.

    An interrupt raised wherever the process happens to be is lost inside native code that calls back, as that of the solver does.
    """
    heard: list[int] = []

    def hear(number: int, _: FrameType | None) -> None:
        heard.append(number)
        signal.signal(number, signal.SIG_DFL)

    before = {number: signal.signal(number, hear) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield heard
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
