"""Large answers go piece by piece, and come to the same bytes as small ones would."""

import asyncio
import hashlib
from contextlib import closing
from typing import Any

import orjson
import pytest
from starlette.testclient import TestClient
from starlette.types import Message
from tests.api.builders import EVALUATIONS, HOUSE, JSON, evaluation_in, service
from tests.benchmarks.worst import bonds

from bondwright.api.sending import in_pieces, json_of
from bondwright.compose.written.tables import LATELY
from bondwright.rulebook.pack import PackHead

LARGE = orjson.dumps(bonds(400))
"""Its answer has over a million bytes."""
VERY_LARGE = orjson.dumps(bonds(1500))
"""It asks more than an answer knows again at once."""
LINES = {"content-type": "application/jsonl"}


@pytest.fixture(scope="module")
def answer(packs: tuple[PackHead, ...], tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Of the large one, evaluated on its own."""
    with closing(service(packs, tmp_path_factory.mktemp("large") / "record.sqlite")) as built:
        return built.evaluate(LARGE).body


@pytest.fixture(scope="module")
def very_large(packs: tuple[PackHead, ...], tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The answer to that, as it is read."""
    with closing(service(packs, tmp_path_factory.mktemp("very large") / "record.sqlite")) as built:
        return orjson.loads(built.evaluate(VERY_LARGE).body)


def sent_by(parts: list[bytes]) -> list[Message]:
    """What goes to the server."""
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        raise AssertionError("nothing is asked of the caller")

    asyncio.run(json_of(parts, 201, {"Price": "1"})({"type": "http"}, receive, send))
    return sent


@pytest.mark.parametrize(("size", "pieces"), [(0, 1), (999_998, 1), (999_999, 6), (3_000_000, 14)])
def test_an_answer_goes_in_one_piece_below_a_million_bytes_and_then_in_several(size: int, pieces: int) -> None:
    parts = [b"{", b"x" * size]

    sent = sent_by(parts)

    assert b"".join(message["body"] for message in sent[1:]) == b"".join(parts)
    assert dict(sent[0]["headers"])[b"content-length"] == str(size + 1).encode()
    assert len(sent) == 1 + pieces
    assert [message.get("more_body", False) for message in sent[1:]] == [True] * (pieces - 1) + [False]


def test_pieces_come_to_the_same_bytes() -> None:
    parts = [b"a" * 300_000, b"", b"b" * 900_000]

    assert b"".join(in_pieces(parts)) == b"".join(parts)
    assert max(map(len, in_pieces(parts))) <= 250_000


def test_a_large_answer_is_the_same_however_it_is_asked_for(client: TestClient, answer: bytes) -> None:
    created = client.post(EVALUATIONS, content=LARGE, headers=JSON)
    again = client.get(created.headers["location"])
    kept = client.get(f"{created.headers['location']}/record")
    batch = client.post("/v1/batches", content=LARGE + b"\n" + HOUSE, headers=LINES)
    first, _, last = batch.content.splitlines(keepends=True)

    assert len(answer) > 1_000_000
    assert evaluation_in(created.content) == answer
    assert again.content == created.content
    assert again.headers["etag"].removeprefix("W/") == f'"{hashlib.sha256(created.content).hexdigest()}"'
    assert client.get(created.headers["location"], headers={"if-none-match": again.headers["etag"]}).status_code == 304
    assert orjson.loads(kept.content)["evaluation"] == orjson.loads(answer)
    assert evaluation_in(first[:-1]) == answer
    assert orjson.loads(last)["sha256"] == hashlib.sha256(batch.content.removesuffix(last)).hexdigest()


@pytest.mark.parametrize("coding", ["gzip", "zstd", "identity"])
def test_a_large_answer_comes_compressed_too(client: TestClient, answer: bytes, coding: str) -> None:
    created = client.post(EVALUATIONS, content=LARGE, headers=JSON | {"accept-encoding": coding})

    assert created.headers.get("content-encoding", "identity") == coding
    assert evaluation_in(created.content) == answer


def test_each_row_of_a_table_stands_in_it_once_however_much_came_between(very_large: Any) -> None:
    assert len(very_large["questions"]) > LATELY
    for table in ("verdicts", "sizes", "reasons", "questions", "sentences"):
        rows = very_large[table]
        assert len({orjson.dumps(row) for row in rows}) == len(rows)


def test_each_place_leads_to_its_own_row_however_much_came_between(very_large: Any) -> None:
    bonds = [bond for part in very_large["parts"] for bond in part["bonds"]]

    assert len(bonds) == 1500
    for bond in bonds:
        (joint,) = [row for row in (very_large["verdicts"][place] for place in bond["verdicts"]) if row["outcome"] == "bond_joint_found"]
        assert [very_large["questions"][place]["pointer"] for place in joint["questions"]] == [f"{bond['pointer']}/joint"]
