"""Appends from eight threads and prints each acknowledged id, until it is killed: `python append_until_killed.py FILE`."""

import os
import signal
import sys
import threading
from pathlib import Path

from tests.audit.builders import PACK_TEXT, new_record

from bondwright.audit.sqlite.store import SqliteRecordStore


def main(path: Path) -> None:
    """Never returns of its own accord; an alarm after five minutes ends it if nobody kills it."""
    signal.alarm(300)
    store = SqliteRecordStore(path)

    def append_on(thread: int) -> None:
        count = 0
        while True:
            kept = store.append(new_record(f"{os.getpid()}-{thread}-{count}"), PACK_TEXT)
            os.write(1, f"{kept.evaluation_id}\n".encode())
            count += 1

    threads = [threading.Thread(target=append_on, args=(thread,)) for thread in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
