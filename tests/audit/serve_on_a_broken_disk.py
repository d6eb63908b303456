"""Serves while somebody lets its disk fail: `python serve_on_a_broken_disk.py FILE ROUNDS`; what fails, and when, is for whoever traces it.

Prints a line each round: status of an evaluation and of readiness. Then a line with how many were answered, how many of these are read
back alike, and what is kept, by counter.
"""

import json
import os
import signal
import sys
from contextlib import closing
from pathlib import Path

from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, JSON, described, service
from tests.described import standing

from bondwright.api.app import create_app
from bondwright.audit.sqlite.store import SqliteRecordStore


def main(file: Path, rounds: int) -> None:
    """An alarm after five minutes ends it if something hangs."""
    signal.alarm(300)
    answered: dict[str, bytes] = {}
    with closing(service(standing(), file)) as built:
        client = TestClient(create_app(built), raise_server_exceptions=False)
        for number in range(rounds):
            answer = client.post(EVALUATIONS, content=described(reference=f"Round {number}"), headers=JSON)
            if answer.status_code == 201:
                answered[answer.json()["evaluation_id"]] = answer.content
            os.write(1, f"{answer.status_code} {client.get('/readyz').status_code}\n".encode())
    with closing(service(standing(), file)) as built:
        client = TestClient(create_app(built))
        alike = sum(client.get(f"{EVALUATIONS}/{evaluation_id}").content == body for evaluation_id, body in answered.items())
    with closing(SqliteRecordStore(file)) as store:
        kept = {record.counter: record.evaluation_id for record in store.page("local", None, 1_000_000)}
    assert set(answered) <= set(kept.values())
    os.write(1, json.dumps([len(answered), alike, sorted(kept)]).encode() + b"\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
