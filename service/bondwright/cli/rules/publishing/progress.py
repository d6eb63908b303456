"""Says on standard error what is being done and how far it is."""

import sys
import time

_TOLD_EVERY_S = 1.0


class Progress:
    """Says each step when it begins, and within a step now and then how far it is."""

    def __init__(self) -> None:
        self._step, self._told = "", 0.0

    def __call__(self, step: str, done: int, of: int, what: str = "") -> None:
        """Step `step` has come to number `done` of `of`, which is called `what`."""
        now = time.monotonic()
        if what or step != self._step or done == of or now - self._told >= _TOLD_EVERY_S:
            print(f"{step}: {done} of {of}{f', {what}' if what else ''}", file=sys.stderr, flush=True)
            self._step, self._told = step, now
