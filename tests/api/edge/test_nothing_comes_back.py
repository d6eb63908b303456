"""Whatever a caller writes in a request that is refused, wherever it stands, it is not in the answer."""

import json
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, WORK

CALM = settings(deadline=None, derandomize=True, database=None, max_examples=300, suppress_health_check=list(HealthCheck))

MARKERS = st.text("0123456789abcdef", min_size=16, max_size=16).map("zq{}".format)
NAMES = ["accept", "accept-encoding", "authorization", "content-encoding", "content-type", "cookie", "expect", "idempotency-key"]
NAMES += ["if-none-match", "origin", "prefer", "request-id", "user-agent", "x-marker"]
PATHS = ["/{}", "/v1/{}", "/v1/evaluations/{}", "/v1/evaluations/{}/record", "/v1/evaluations/{}/replay", "/v1/evaluations?{}=1"]
PATHS += ["/v1/evaluations?rule={}&rule={}", "/v1/evaluations?after={}", "/v1/evaluations?limit={}", "/v1/evaluations?act_on={}"]
PATHS += ["/v1/calculations/{}", "/v1/rule-packs/{}", "/v1/rule-packs/{}/rules/{}", "/problems/{}", "/static-offline-docs/{}"]
PATHS += [EVALUATIONS, "/v1/calculations/isolation-reading", "/livez?{}=1"]


MARKER = "zqmarkerqz"
"""What stands in a body that is drawn, to be replaced by a marker of its own: so the ways to draw bodies are made once."""


def keys() -> st.SearchStrategy[str]:
    """Keys that are known, and the marker."""
    known = ["work", "kind", "inspected_on", "supply", "services", "items", "id", "bonds", "size", "on", "locations", "measured_ohm"]
    return st.sampled_from([MARKER, f"{MARKER}/{MARKER}", *known])


def spoiled() -> st.SearchStrategy[tuple[str, str]]:
    """Bodies with the marker somewhere in them, every one to be refused, each with the encoding that it is sent in."""
    values: st.SearchStrategy[Any] = st.recursive(
        st.just(MARKER),
        lambda inner: st.lists(inner, min_size=1, max_size=2) | st.dictionaries(keys(), inner, min_size=1, max_size=3),
    )
    described = st.dictionaries(keys(), values, min_size=1).map(lambda parts: {"work": WORK, **parts})
    written = st.sampled_from(
        [
            MARKER,
            f'{{"{MARKER}": 1, "{MARKER}": 2}}',
            f'{{"work": {MARKER}}}',
            json.dumps({"work": WORK, "items": [{"kind": "tap", "id": MARKER}] * 2}),
            json.dumps({"work": WORK, "rule_pack": MARKER}),
        ]
    )
    drawn = (values | described).map(json.dumps)
    return st.one_of(
        st.tuples(written, st.just("utf-8")),
        st.tuples(drawn, st.just("utf-8")),
        st.tuples(described.map(json.dumps), st.just("utf-16")),
    )


BODIES = spoiled()
HEADERS = st.lists(st.sampled_from(NAMES), max_size=2)
METHODS = st.sampled_from(["GET", "POST", "POST", "POST", "DELETE", MARKER])


def test_nothing_that_a_caller_wrote_is_in_a_refusal(client: TestClient) -> None:
    refused = 0

    @CALM
    @given(st.data())
    def ask(data: st.DataObject) -> None:
        nonlocal refused
        marker = data.draw(MARKERS)
        body, encoding = data.draw(BODIES)
        answer = client.request(
            data.draw(METHODS).replace(MARKER, marker.upper()),
            data.draw(st.sampled_from(PATHS)).replace("{}", marker),
            content=body.replace(MARKER, marker).encode(encoding),
            headers={"content-type": "application/json"} | dict.fromkeys(data.draw(HEADERS), marker),
        )
        if answer.status_code >= 400:
            refused += 1
            assert marker not in (answer.text + str(answer.headers)).lower()

    ask()

    assert refused >= 200
