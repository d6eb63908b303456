"""Answers are compressed as the caller accepts, and are the same bytes for whoever unpacks them.

Judged by RFC 9110 (12.5.3 content codings, 8.8.3.3 entity tags, 15.4.5 what 304 carries) and by httpx2, a
client that unpacks both.
"""

import asyncio
import gzip
import hashlib
import json
import zlib
from collections.abc import Callable

import pytest
from backports.zstd import DecompressionParameter, ZstdDecompressor, decompress
from starlette.responses import Response, StreamingResponse
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send
from tests.api.builders import EVALUATIONS, HOUSE, JSON
from tests.api.edge.exchanges import Exchange

from bondwright.api.batches import BATCHES, MEDIA_TYPE
from bondwright.api.edge.compression import SMALLEST, Compression, accepted
from bondwright.rulebook.pack import PackHead

UNPACK: dict[str, Callable[[bytes], bytes]] = {"gzip": gzip.decompress, "zstd": decompress}


@pytest.mark.parametrize(
    ("header", "codings"),
    [
        (None, "identity"),
        ("", "identity"),
        (" , ", "identity"),
        ("gzip", "gzip identity"),
        ("zstd", "zstd identity"),
        ("gzip, deflate, br, zstd", "zstd gzip identity"),
        ("GZIP", "gzip identity"),
        ("x-gzip", "gzip identity"),
        ("br, deflate", "identity"),
        ("identity", "identity"),
        ("*", "zstd gzip identity"),
        ("gzip;q=1.0, zstd;q=0.999", "gzip zstd identity"),
        ("gzip;q=0.999, zstd;q=1.000", "zstd gzip identity"),
        ("gzip ;\tQ=0.5 , zstd ; q=0.5", "zstd gzip identity"),
        ("gzip;q=0.001", "gzip identity"),
        ("gzip;q=0.000", "identity"),
        ("gzip;q=0, *", "zstd identity"),
        ("gzip;q=0.5, identity", "identity gzip"),
        ("gzip;q=0.5, identity;q=0.5", "gzip identity"),
        ("gzip;q=0.5, *;q=0.6", "zstd identity gzip"),
        ("gzip, identity;q=0", "gzip"),
        ("gzip, identity;q=0.001", "gzip identity"),
        ("gzip, *;q=0", "gzip"),
        ("*;q=0, identity;q=0.1", "identity"),
        ("*;q=0", ""),
        ("identity;q=0", ""),
        ("br, identity;q=0", ""),
        ("gzip;q=1.001", "identity"),
        ("gzip;q=-1", "identity"),
        ("gzip;q=much, zstd", "zstd identity"),
        ("gzip;q", "identity"),
        ("gzip;level=9", "identity"),
        ("gzip;q=1;q=0", "identity"),
        ("gzip, gzip;q=0", "identity"),
        ("gzip zstd", "identity"),
    ],
)
def test_the_coding_of_the_highest_quality_is_used_and_none_that_is_refused(header: str | None, codings: str) -> None:
    assert accepted(header) == tuple(codings.split())


def answering(body: bytes, **headers: str) -> ASGIApp:
    """An application that answers those bytes, as JSON unless `headers` say otherwise."""

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        told = {"content-type": "application/json", **{name.replace("_", "-"): value for name, value in headers.items()}}
        await Response(body, headers=told)(scope, receive, send)

    return app


def asked(app: ASGIApp, accept_encoding: str | None) -> Exchange:
    """The answer of `app` behind the compression."""
    headers = {} if accept_encoding is None else {"accept-encoding": accept_encoding}
    return asyncio.run(Exchange(method="OTHER", headers=headers).run(Compression(app)))


@pytest.mark.parametrize("coding", UNPACK)
def test_from_the_stated_size_on_an_answer_is_compressed_and_its_length_told(coding: str) -> None:
    body = b"a" * SMALLEST

    exchange = asked(answering(body), coding)

    assert UNPACK[coding](exchange.body) == body
    assert exchange.answered["content-encoding"] == coding
    assert exchange.answered["content-length"] == str(len(exchange.body))
    assert exchange.answered["vary"] == "Accept-Encoding"


@pytest.mark.parametrize("coding", UNPACK)
def test_a_byte_below_it_is_sent_as_it_is_and_still_varies(coding: str) -> None:
    body = b"a" * (SMALLEST - 1)

    exchange = asked(answering(body), coding)

    assert exchange.body == body
    assert "content-encoding" not in exchange.answered
    assert exchange.answered["vary"] == "Accept-Encoding"


def test_who_refuses_identity_gets_even_a_small_answer_compressed() -> None:
    exchange = asked(answering(b"{}"), "gzip, identity;q=0")

    assert (exchange.answered["content-encoding"], gzip.decompress(exchange.body)) == ("gzip", b"{}")


@pytest.mark.parametrize("accept_encoding", [None, "", "identity", "br", "gzip;q=0"])
def test_who_accepts_no_coding_that_there_is_gets_the_bytes_as_they_are(accept_encoding: str | None) -> None:
    exchange = asked(answering(b"a" * SMALLEST, etag='"t"'), accept_encoding)

    assert exchange.body == b"a" * SMALLEST
    assert (exchange.answered["vary"], exchange.answered["etag"]) == ("Accept-Encoding", '"t"')
    assert "content-encoding" not in exchange.answered


@pytest.mark.parametrize("headers", [{"content_type": "image/png"}, {"content_encoding": "br"}])
def test_what_is_compressed_by_itself_is_left_alone(headers: dict[str, str]) -> None:
    exchange = asked(answering(b"a" * SMALLEST, **headers), "gzip")

    assert exchange.body == b"a" * SMALLEST
    assert exchange.answered.get("content-encoding") == headers.get("content_encoding")


def test_a_large_answer_is_whole() -> None:
    body = bytes(range(256)) * 4000

    for coding, unpack in UNPACK.items():
        assert unpack(asked(answering(body), coding).body) == body


def test_zstd_needs_no_more_window_than_http_allows() -> None:
    body = hashlib.shake_256(b"seed").digest(20_000_000)

    exchange = asked(answering(body), "zstd")

    # RFC 9659: 8 MB, 2 to the power of 23.
    assert ZstdDecompressor(options={DecompressionParameter.window_log_max: 23}).decompress(exchange.body) == body


@pytest.mark.parametrize("coding", UNPACK)
def test_each_line_of_a_stream_can_be_read_when_it_is_sent(coding: str) -> None:
    async def lines(scope: Scope, receive: Receive, send: Send) -> None:
        await StreamingResponse(iter((b"one\n", b"two\n", b"three\n")), media_type=MEDIA_TYPE)(scope, receive, send)

    exchange = asyncio.run(Exchange(method="OTHER", headers={"accept-encoding": coding}).run(Compression(lines)))

    pieces = [message["body"] for message in exchange.sent[1:]]
    reader = zlib.decompressobj(zlib.MAX_WBITS | 16) if coding == "gzip" else ZstdDecompressor()
    assert [reader.decompress(piece) for piece in pieces] == [b"one\n", b"two\n", b"three\n", b""]
    assert "content-length" not in exchange.answered


@pytest.mark.parametrize("coding", UNPACK)
def test_a_client_reads_the_same_evaluation_however_it_came(client: TestClient, coding: str) -> None:
    made = client.post(EVALUATIONS, content=HOUSE, headers={**JSON, "accept-encoding": coding})
    plain = client.get(made.headers["location"], headers={"accept-encoding": "identity"})

    packed = client.get(made.headers["location"], headers={"accept-encoding": coding})

    assert [made.headers["content-encoding"], packed.headers["content-encoding"]] == [coding, coding]
    assert plain.content == made.content == packed.content
    assert int(packed.headers["content-length"]) < len(plain.content) / 3


@pytest.mark.parametrize("coding", UNPACK)
def test_a_digest_in_an_answer_is_of_the_bytes_before_they_were_compressed(client: TestClient, coding: str) -> None:
    batch = b"\n".join([json.dumps(json.loads(HOUSE)).encode()] * 3)

    answer = client.post(BATCHES, content=batch, headers={"content-type": MEDIA_TYPE, "accept-encoding": coding})

    *lines, end, _ = answer.content.split(b"\n")
    assert answer.headers["content-encoding"] == coding
    assert hashlib.sha256(b"".join(line + b"\n" for line in lines)).hexdigest() == json.loads(end)["sha256"]


@pytest.mark.parametrize("coding", UNPACK)
def test_the_entity_tag_is_weak_where_the_answer_is_compressed_and_still_names_the_same(client: TestClient, coding: str) -> None:
    path = "/openapi.json"
    plain = client.get(path, headers={"accept-encoding": "identity"})
    packed = client.get(path, headers={"accept-encoding": coding})

    assert plain.headers["etag"] == f'"{hashlib.sha256(plain.content).hexdigest()}"'
    assert packed.headers["etag"] == f"W/{plain.headers['etag']}"


@pytest.mark.parametrize("method", ["GET", "HEAD"])
@pytest.mark.parametrize("now", ["identity", "gzip", "zstd"])
@pytest.mark.parametrize("before", ["identity", "gzip", "zstd"])
def test_who_has_it_in_any_coding_gets_304_with_the_headers_of_the_coding_asked_for(
    client: TestClient, packs: tuple[PackHead, ...], before: str, now: str, method: str
) -> None:
    path = f"/v1/rule-packs/{packs[0].pack_id}"
    has = client.get(path, headers={"accept-encoding": before}).headers["etag"]
    whole = client.get(path, headers={"accept-encoding": now})

    again = client.request(method, path, headers={"accept-encoding": now, "if-none-match": has})

    assert (again.status_code, again.content) == (304, b"")
    assert [again.headers[name] for name in ("etag", "vary", "cache-control")] == [
        whole.headers[name] for name in ("etag", "vary", "cache-control")
    ]
    assert {"content-encoding", "content-length", "content-type"} & set(again.headers) == set()


@pytest.mark.parametrize("coding", UNPACK)
def test_head_tells_what_get_would(client: TestClient, coding: str) -> None:
    headers = {"accept-encoding": coding}

    head, got = (client.request(method, "/openapi.json", headers=headers) for method in ("HEAD", "GET"))

    assert head.content == b""
    assert {**head.headers, "request-id": ""} == {**got.headers, "request-id": ""}


@pytest.mark.parametrize("coding", UNPACK)
def test_a_problem_is_compressed_too(client: TestClient, coding: str) -> None:
    wrong = json.dumps({"services": [{"kind": "water", "enters_as": 7}] * 20})

    answer = client.post(EVALUATIONS, content=wrong, headers={**JSON, "accept-encoding": coding})

    assert (answer.status_code, answer.headers["content-encoding"]) == (422, coding)
    assert len(answer.json()["errors"]) >= 20


@pytest.mark.parametrize("accept_encoding", ["identity;q=0", "*;q=0", "br, identity;q=0"])
def test_who_accepts_nothing_that_there_is_gets_406_and_nothing_is_done(client: TestClient, accept_encoding: str) -> None:
    before = client.get(EVALUATIONS).content

    answer = client.post(EVALUATIONS, content=HOUSE, headers={**JSON, "accept-encoding": accept_encoding})

    assert (answer.status_code, answer.json()["type"]) == (406, "/problems/not-acceptable")
    assert "Accept-Encoding" in answer.headers["vary"]
    assert client.get(EVALUATIONS).content == before


def test_a_path_that_is_not_there_is_told_to_who_accepts_nothing(client: TestClient) -> None:
    assert client.get("/none", headers={"accept-encoding": "*;q=0"}).status_code == 404


@pytest.mark.parametrize("coding", UNPACK)
def test_a_file_of_the_documentation_is_compressed_but_no_part_of_it(client: TestClient, coding: str) -> None:
    path = "/static-offline-docs/swagger-ui.css"
    plain = client.get(path, headers={"accept-encoding": "identity"})

    packed = client.get(path, headers={"accept-encoding": coding})
    part = client.get(path, headers={"accept-encoding": coding, "range": "bytes=0-1999", "if-range": packed.headers["etag"]})
    kept = client.get(path, headers={"accept-encoding": coding, "if-none-match": packed.headers["etag"]})

    assert (packed.headers["content-encoding"], packed.content) == (coding, plain.content)
    assert "accept-ranges" not in packed.headers
    assert (part.status_code, part.content) == (200, plain.content)
    assert (kept.status_code, kept.headers["etag"]) == (304, packed.headers["etag"])


def test_a_part_of_a_file_is_of_the_bytes_as_they_are(client: TestClient) -> None:
    path = "/static-offline-docs/swagger-ui.css"
    plain = client.get(path, headers={"accept-encoding": "identity"})

    part = client.get(path, headers={"accept-encoding": "gzip", "range": "bytes=0-1999"})

    assert (part.status_code, part.content) == (206, plain.content[:2000])
    assert "content-encoding" not in part.headers


@pytest.mark.parametrize("coding", UNPACK)
def test_a_compressed_request_is_refused_as_before(client: TestClient, coding: str) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={**JSON, "content-encoding": coding})

    assert (answer.status_code, answer.headers["accept-encoding"]) == (415, "identity")
