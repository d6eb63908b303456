"""The service over a record in PostgreSQL, and what its callers meet."""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

from httpx2 import Response
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.engine.durable import DurableChannel
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import PackHead

PATIENCE_S = 0.5
NOT_STORED = f"{EVALUATIONS}/00000000-0000-7000-8000-000000000000"


@dataclass(frozen=True, slots=True)
class Met:
    """Statuses of an evaluation, of one read again, of readiness and of liveness; the media types of refusals; the longest wait."""

    evaluated: int
    read: int
    ready: int
    alive: int
    refused_as: frozenset[str] = frozenset()
    longest_s: float = field(default=0.0, compare=False)


class Front:
    """The service over the record at `address`; `answered` has the body of every answer by its place."""

    def __init__(self, packs: Sequence[PackHead], address: str) -> None:
        self._service = Bondwright(
            packs,
            lambda: PostgresqlRecordStore(address, PATIENCE_S),
            lambda pack: TwoChannels(pack, Kept(), build_channel=DurableChannel),
            versions={"service": "0.1.0"},
            clock=lambda: datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
        )
        self._client = TestClient(create_app(self._service), raise_server_exceptions=False)
        self.answered: dict[str, bytes] = {}

    def met(self) -> Met:
        """What callers meet now."""
        seen = [self._asked("POST", EVALUATIONS)]
        seen += [self._asked("GET", path) for path in (next(iter(self.answered), NOT_STORED), "/readyz", "/livez")]
        evaluated, read, ready, alive = (answer.status_code for answer, _ in seen)
        refused_as = frozenset(answer.headers["content-type"] for answer, _ in seen if answer.status_code >= 400)
        return Met(evaluated, read, ready, alive, refused_as, max(waited_s for _, waited_s in seen))

    def ready(self) -> int:
        """Status of the readiness."""
        return self._client.get("/readyz").status_code

    def read_back_alike(self) -> int:
        """How many answers are read again in the same bytes."""
        return sum(self._client.get(place).content == body for place, body in self.answered.items())

    def close(self) -> None:
        """Nothing, once the service is closed."""
        self._service.close()

    def _asked(self, method: str, path: str) -> tuple[Response, float]:
        began = time.monotonic()
        answer = self._client.request(method, path, content=HOUSE if method == "POST" else None, headers=JSON)
        if answer.status_code == 201:
            self.answered[answer.headers["location"]] = answer.content
        return answer, time.monotonic() - began
