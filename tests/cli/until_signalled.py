"""A command that sends itself a signal at a moment of its own: `until_signalled EVENT SIGNAL TIME ARGUMENT …`.

EVENT is one of those that Python tells an audit hook of, such as `os.rename` before a file is put in place of another; TIME, which of them.
"""

import os
import sys
from itertools import count

from bondwright.cli import main

if __name__ == "__main__":
    wanted_event, number, wanted = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    met = count(1)

    def hear(event: str, _: object) -> None:
        """Heard before the act, and no replacement of our own code."""
        if event == wanted_event and next(met) == wanted:
            os.kill(os.getpid(), number)

    sys.addaudithook(hear)
    raise SystemExit(main(sys.argv[4:]))
