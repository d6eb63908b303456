"""Bodies that are too large, too slow, encoded or never come; and connections that are left in order."""

import asyncio

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON
from tests.api.edge.exchanges import GONE, Exchange, reading, refusing

from bondwright.api.edge.bodies import Bodies
from bondwright.api.edge.last_net import LastNet
from bondwright.api.edge.leftovers import Leftovers
from bondwright.api.problems import MEDIA_TYPE, MOST_BYTES

CHUNKED = {"transfer-encoding": "chunked"}
PATIENT_S, HASTY_S = 600.0, 0.01


def test_a_body_that_comes_in_time_is_read() -> None:
    exchange = Exchange((b"a", b"b"), CHUNKED, whole=True)

    asyncio.run(exchange.run(Bodies(reading, PATIENT_S)))

    assert (exchange.status, exchange.body) == (200, b"ab")


@pytest.mark.parametrize("pieces", [(), (b"a",)])
def test_a_body_that_stalls_is_given_up(pieces: tuple[bytes, ...]) -> None:
    exchange = Exchange(pieces, CHUNKED)

    asyncio.run(exchange.run(Bodies(reading, HASTY_S)))

    assert (exchange.status, exchange.answered["content-type"]) == (408, MEDIA_TYPE)


def test_a_body_that_grows_beyond_the_limit_is_given_up_there() -> None:
    exchange = Exchange((b" " * MOST_BYTES, b" ", b" "), CHUNKED)

    asyncio.run(exchange.run(Bodies(reading, PATIENT_S)))

    assert (exchange.status, exchange.taken) == (413, 2)


def test_a_body_that_announces_too_much_is_refused_unread() -> None:
    exchange = Exchange((), {"content-length": str(MOST_BYTES + 1)})

    asyncio.run(exchange.run(Bodies(reading, PATIENT_S)))

    assert (exchange.status, exchange.taken) == (413, 0)


@pytest.mark.parametrize("encoding", ["gzip", "br", "identity, gzip", "GZIP", "deflate, gzip", "canary"])
def test_an_encoded_body_is_refused_unread(encoding: str) -> None:
    exchange = Exchange((), {**CHUNKED, "content-encoding": encoding})

    asyncio.run(exchange.run(Bodies(reading, PATIENT_S)))

    assert (exchange.status, exchange.answered["accept-encoding"], exchange.taken) == (415, "identity", 0)


@pytest.mark.parametrize("encoding", ["", "identity", "Identity"])
def test_a_body_that_is_not_encoded_is_read(encoding: str) -> None:
    exchange = Exchange((b"a",), {**CHUNKED, "content-encoding": encoding}, whole=True)

    asyncio.run(exchange.run(Bodies(reading, PATIENT_S)))

    assert exchange.body == b"a"


def test_a_route_that_refuses_the_caller_does_so_before_the_body_is_looked_at() -> None:
    exchange = Exchange((), {"content-length": str(MOST_BYTES + 1), "content-encoding": "gzip"})

    asyncio.run(exchange.run(Bodies(refusing, PATIENT_S)))

    assert exchange.status == 401


def test_a_caller_who_leaves_is_logged_without_a_traceback(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("INFO")
    exchange = Exchange((b"a", GONE), CHUNKED)

    asyncio.run(exchange.run(LastNet(Bodies(reading, PATIENT_S))))

    assert exchange.sent == []
    assert [(record.getMessage(), record.exc_info) for record in caplog.records] == [("request an id: the caller left", None)]


@pytest.mark.parametrize(
    "content_type",
    [
        "application/json;charset=latin-1",
        "application/json; charset=utf-16",
        "application/json; charset=utf-8; charset=utf-16",
        "text/json",
        "application/problem+json",
        "application/json, application/json",
        "json",
        ";",
    ],
)
def test_what_is_not_json_in_utf_8_is_refused(client: TestClient, content_type: str) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={"content-type": content_type})

    assert (answer.status_code, answer.headers["accept-post"]) == (415, "application/json")


@pytest.mark.parametrize("headers", [[], [("content-type", "application/json")] * 2])
def test_a_media_type_that_is_missing_or_doubled_is_refused(client: TestClient, headers: list[tuple[str, str]]) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=headers)

    assert answer.status_code == 415


@pytest.mark.parametrize("content_type", ['application/json;charset="UTF-8"', "application/json ; profile=any", "application/json;"])
def test_json_may_say_more_of_itself(client: TestClient, content_type: str) -> None:
    assert client.post(EVALUATIONS, content=HOUSE, headers={"content-type": content_type}).status_code == 201


def test_a_compressed_description_is_refused(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={**JSON, "content-encoding": "gzip"})

    assert (answer.status_code, answer.headers["accept-encoding"]) == (415, "identity")


def test_the_connection_stays_if_the_body_had_come_along() -> None:
    exchange = Exchange((b"a", b"b"), CHUNKED, whole=True)

    asyncio.run(exchange.run(Leftovers(refusing)))

    assert (exchange.status, exchange.taken) == (401, 2)
    assert "connection" not in exchange.answered


def test_the_connection_is_closed_if_the_body_was_still_to_come() -> None:
    exchange = Exchange((b"a",), CHUNKED, lingers=True)

    asyncio.run(exchange.run(Leftovers(refusing)))

    assert (exchange.answered["connection"], exchange.body) == ("close", b"refused")
    # The last word ends the connection: it comes after the caller has gone.
    assert [message.get("more_body") for message in exchange.sent[1:]] == [True, False]


def test_a_caller_who_waits_to_be_asked_for_the_body_is_answered_at_once() -> None:
    exchange = Exchange((), {"content-length": "5", "expect": "100-continue"})

    asyncio.run(exchange.run(Leftovers(refusing)))

    assert (exchange.status, exchange.answered["connection"], exchange.taken) == (401, "close", 0)
