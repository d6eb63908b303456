"""A process that has the program loaded and does nothing but fork: each child runs one script, as a fresh interpreter would.

It has no thread, has read no setting and keeps no file open. So a child begins with modules that are loaded, one pack that was read and
the model in which descriptions are read in the terms of the packs that stand, and with nothing else that a fresh start would not have.
Asked over the socket that is its standard input, by `tests.forked`, which starts it.
"""

import gc
import json
import os
import runpy
import selectors
import socket
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from tests.rules.revisions import newest_published

from bondwright.cli.commands import COMMANDS
from bondwright.cli.rules.choosing import those_that_stand
from bondwright.installation.description import Installation
from bondwright.installation.shapes import validator
from bondwright.settings import calculate_on_one_thread
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

MOST_BYTES = 1 << 17
"""Of one call: the script with its arguments, the environment and the working directory."""


def main() -> None:
    """Forks until nobody can ask any more, and returns then; in each child it runs what was asked for."""
    calculate_on_one_thread()
    for _, fill in COMMANDS.values():
        fill(ArgumentParser())
    newest_published("bs7671-2018-a4")
    validator(Installation, terms_of(those_that_stand(rules_folder(), on_shelf(rules_folder()))))
    gc.collect()
    gc.freeze()
    if call := next_call():
        become(**call)


def next_call() -> dict[str, Any] | None:
    """In a child: what it is to run. In this process: nothing, once nobody can ask any more; until then it tells how children end."""
    running: dict[int, tuple[int, socket.socket]] = {}
    with socket.socket(fileno=os.dup(0)) as asked, selectors.PollSelector() as waiting:
        waiting.register(asked, selectors.EVENT_READ)
        while True:
            for key, _ in waiting.select():
                if key.fileobj is not asked:
                    waiting.unregister(key.fd)
                    tell_the_end(key.fd, *running.pop(key.fd))
                    continue
                call, passed, _, _ = socket.recv_fds(asked, MOST_BYTES, 4)
                if not call:
                    return None
                told = socket.socket(fileno=passed.pop())
                child = os.fork()
                if not child:
                    for watched, (_, other) in running.items():
                        os.close(watched)
                        other.close()
                    told.close()
                    for number, one in enumerate(passed):
                        os.dup2(one, number)
                for one in passed:
                    os.close(one)
                if not child:
                    return dict(json.loads(call))
                told.sendall(child.to_bytes(4, "big"))
                watched = os.pidfd_open(child)
                running[watched] = (child, told)
                waiting.register(watched, selectors.EVENT_READ)


def tell_the_end(watched: int, child: int, told: socket.socket) -> None:
    """Tells who asked how a child ended, as `waitpid` says it."""
    os.close(watched)
    _, status = os.waitpid(child, 0)
    with told:
        told.sendall(status.to_bytes(4, "big"))


def become(command: list[str], environment: dict[str, str], folder: str) -> None:
    """Runs a script as the interpreter does that is started with it."""
    os.environ.clear()
    os.environ.update(environment)
    os.chdir(folder)
    sys.argv[:] = command
    sys.path.insert(0, str(Path(command[0]).parent))
    sys.stdin, sys.stdout = open(0, closefd=False), open(1, "w", closefd=False)  # noqa: SIM115  # to the end of the process
    sys.stderr = open(2, "w", buffering=1, errors="backslashreplace", closefd=False)  # noqa: SIM115
    runpy.run_path(command[0], run_name="__main__")


if __name__ == "__main__":
    main()
