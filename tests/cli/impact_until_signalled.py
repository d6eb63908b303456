"""A command that sends itself a signal at the moment it would put a file in place: `impact_until_signalled SIGNAL TIME ARGUMENT …`."""

import os
import sys
from itertools import count

from bondwright.cli import main

if __name__ == "__main__":
    number, wanted = int(sys.argv[1]), int(sys.argv[2])
    replaced = count(1)

    def hear(event: str, _: object) -> None:
        """Heard before a file is put in place of another, and no replacement of our own code."""
        if event == "os.rename" and next(replaced) == wanted:
            os.kill(os.getpid(), number)

    sys.addaudithook(hear)
    raise SystemExit(main(sys.argv[3:]))
