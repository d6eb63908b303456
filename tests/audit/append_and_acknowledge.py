"""Appends from eight threads and prints each acknowledged id: `python append_and_acknowledge.py FILE SYNCHRONOUS COUNT WHEN`.

SYNCHRONOUS is FULL, or NORMAL or OFF for a store made unsafe; COUNT is how many records each thread appends; WHEN is `after` the
append, or `before` it for a store that answers too early.
"""

import gc
import os
import signal
import sqlite3
import sys
import threading
from pathlib import Path

from tests.audit.builders import PACK_TEXT, new_record

from bondwright.audit.sqlite.store import SqliteRecordStore

INPUT = bytes(3_000)


def main(path: Path, synchronous: str, count: int, when: str) -> None:
    """Ends with the last record; a minute's alarm ends it otherwise. A refusal is printed as `refused: ` and why, and ends its thread."""
    signal.alarm(60)
    store = SqliteRecordStore(path)
    for connection in [thing for thing in gc.get_objects() if isinstance(thing, sqlite3.Connection)]:
        connection.execute(f"PRAGMA synchronous = {synchronous}")
        # Often, so that a short run meets the copying of the log into the file.
        connection.execute("PRAGMA wal_autocheckpoint = 60")

    def append_on(thread: int) -> None:
        for n in range(count):
            evaluation_id = f"{os.getpid():08}-{thread}-{n:08}"
            if when == "before":
                os.write(1, f"{evaluation_id}\n".encode())
            try:
                store.append(new_record(evaluation_id, input_bytes=INPUT), PACK_TEXT)
            except Exception as error:
                os.write(1, f"refused: {type(error).__name__}: {error}\n".encode())
                return
            if when == "after":
                os.write(1, f"{evaluation_id}\n".encode())

    threads = [threading.Thread(target=append_on, args=(thread,)) for thread in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    store.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), sys.argv[4])
