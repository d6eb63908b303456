"""Heads read strictly: what is good is read just as the library below reads it, in whatever pieces it comes."""

import h11
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.api.operating.heads import StrictConnection

GET = b"GET /livez HTTP/1.1\r\nHost: here\r\nA:\t b \r\n\r\n"
LENGTH = b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 4\r\n\r\n\n \n\t"
CHUNKS = b"POST / HTTP/1.1\r\nHost: here\r\nTransfer-Encoding: chunked\r\n\r\n3\r\n\n\n\n\r\n1;x=y\r\n \r\n0\r\nA: b\r\n\r\n"


def read(connection: h11.Connection, pieces: list[bytes]) -> list[object]:
    """Everything that is read of these pieces, each request answered at once; data joined, as pieces part it."""
    events: list[object] = []
    for piece in pieces:
        connection.receive_data(piece)
        while (event := connection.next_event()) is not h11.NEED_DATA:
            if event is h11.PAUSED:
                connection.send(h11.Response(status_code=204, headers=[]))
                connection.send(h11.EndOfMessage())
                connection.start_next_cycle()
            elif isinstance(event, h11.Data) and events and isinstance(events[-1], bytes):
                events[-1] += bytes(event.data)
            else:
                events.append(bytes(event.data) if isinstance(event, h11.Data) else event)
    return events


@given(st.lists(st.sampled_from([GET, LENGTH, CHUNKS]), min_size=1, max_size=4).map(b"".join), st.data())
def test_what_is_good_is_read_as_the_library_reads_it_in_whatever_pieces_it_comes(sent: bytes, data: st.DataObject) -> None:
    cuts = sorted(data.draw(st.sets(st.integers(1, len(sent) - 1))))
    pieces = [sent[start:end] for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True)]

    strictly, freely = (read(connection, pieces) for connection in (StrictConnection(), h11.Connection(h11.SERVER)))

    assert strictly == freely
    assert sum(isinstance(event, h11.Request) for event in strictly) == sent.count(b"HTTP/1.1")


@given(st.sampled_from([GET, LENGTH.removesuffix(b"\n \n\t"), CHUNKS]), st.data())
def test_a_line_feed_that_has_lost_its_carriage_return_is_refused_in_whatever_pieces_it_comes(good: bytes, data: st.DataObject) -> None:
    at = data.draw(st.sampled_from([at for at in range(len(good)) if good[at : at + 2] == b"\r\n"]))
    sent = good[:at] + good[at + 1 :] + GET
    cuts = sorted(data.draw(st.sets(st.integers(1, len(sent) - 1))))
    pieces = [sent[start:end] for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True)]

    with pytest.raises(h11.RemoteProtocolError):
        read(StrictConnection(), pieces)


def test_the_library_forgives_what_is_refused_here() -> None:
    assert len(read(h11.Connection(h11.SERVER), [GET.replace(b"\r\n", b"\n")])) == 2
