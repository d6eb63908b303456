"""Appends from eight threads and prints each acknowledged id: `python append_and_acknowledge.py PLACE SYNCHRONOUS COUNT WHEN [REFUSED]`.

PLACE is a file for SQLite or an address for PostgreSQL. SYNCHRONOUS is FULL, or NORMAL or OFF for a store made unsafe, in PostgreSQL
until it connects again. COUNT is how many records each thread appends; WHEN is `after` the append, or `before` it for a store that
answers too early. REFUSED is `ends` for a thread that ends when it is refused, or `goes-on` for one that tries its next record; the
first refusal in a row is then printed as `refused: ` and the id.
"""

import gc
import os
import signal
import sqlite3
import sys
import threading
import time
from pathlib import Path

from tests.audit.builders import PACK_TEXT, new_record
from tests.audit.unsafe import wait_for_no_disk

from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken

INPUT = bytes(3_000)
PATIENCE_S = 2.0
PAUSE_S = 0.1
"""What a thread waits that was refused: else they take the processor from the server that is to come back."""


def main(place: str, synchronous: str, count: int, when: str, refused: str = "ends") -> None:
    """Ends with the last record; an alarm after five minutes ends it otherwise. A refusal is printed as `refused: ` and why."""
    signal.alarm(300)
    store = _opened(place, synchronous)

    def append_on(thread: int) -> None:
        was_refused = False
        for n in range(count):
            evaluation_id = f"{os.getpid():08}-{thread}-{n:08}"
            if when == "before":
                os.write(1, f"{evaluation_id}\n".encode())
            try:
                store.append(new_record(evaluation_id, input_bytes=INPUT), PACK_TEXT)
            except Exception as error:
                if refused == "ends" or not isinstance(error, RecordBroken):
                    os.write(1, f"refused: {type(error).__name__}: {error}\n".encode())
                    return
                if not was_refused:
                    os.write(1, f"refused: {evaluation_id}\n".encode())
                was_refused = True
                time.sleep(PAUSE_S)
                continue
            was_refused = False
            if when == "after":
                os.write(1, f"{evaluation_id}\n".encode())

    threads = [threading.Thread(target=append_on, args=(thread,)) for thread in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    store.close()


def _opened(place: str, synchronous: str) -> RecordStore:
    if place.startswith("postgresql://"):
        opened = PostgresqlRecordStore(place, PATIENCE_S)
        return opened if synchronous == "FULL" else wait_for_no_disk(opened)
    store = SqliteRecordStore(Path(place))
    for connection in [thing for thing in gc.get_objects() if isinstance(thing, sqlite3.Connection)]:
        connection.execute(f"PRAGMA synchronous = {synchronous}")
        # Often, so that a short run meets the copying of the log into the file.
        connection.execute("PRAGMA wal_autocheckpoint = 60")
    return store


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), *sys.argv[4:])
