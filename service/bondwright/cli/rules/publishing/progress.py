"""Says on standard error what is being done and how far it is, and stops between two steps if that was asked for."""

import sys
import time
from collections.abc import Sequence

_TOLD_EVERY_S = 1.0


class Stopped(Exception):
    """Somebody asked to stop, and it is known before anything is written."""


class Progress:
    """Says each step when it begins, and within a step now and then how far it is. `heard`: signals that asked to stop."""

    def __init__(self, heard: Sequence[int]) -> None:
        self._heard = heard
        self._step, self._told = "", 0.0

    def go_on(self) -> None:
        """Nothing, if nobody asked to stop. Raises: Stopped."""
        if self._heard:
            raise Stopped

    def __call__(self, step: str, done: int, of: int, what: str = "") -> None:
        """Step `step` has come to number `done` of `of`, which is called `what`. Raises: Stopped."""
        self.go_on()
        now = time.monotonic()
        if what or step != self._step or done == of or now - self._told >= _TOLD_EVERY_S:
            print(f"{step}: {done} of {of}{f', {what}' if what else ''}", file=sys.stderr, flush=True)
            self._step, self._told = step, now
