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


def spoiled(marker: str) -> st.SearchStrategy[bytes]:
    """Bodies with a marker somewhere in them, every one to be refused."""
    values: st.SearchStrategy[Any] = st.recursive(
        st.just(marker),
        lambda inner: st.lists(inner, min_size=1, max_size=2) | st.dictionaries(keys(marker), inner, min_size=1, max_size=3),
    )
    described = st.dictionaries(keys(marker), values, min_size=1).map(lambda parts: {"work": WORK, **parts})
    return st.one_of(
        st.just(marker.encode()),
        st.just(f'{{"{marker}": 1, "{marker}": 2}}'.encode()),
        st.just(f'{{"work": {marker}}}'.encode()),
        st.just(json.dumps({"work": WORK, "items": [{"kind": "tap", "id": marker}] * 2}).encode()),
        st.just(json.dumps({"work": WORK, "rule_pack": marker}).encode()),
        (values | described).map(lambda document: json.dumps(document).encode()),
        described.map(lambda document: json.dumps(document).encode("utf-16")),
    )


def keys(marker: str) -> st.SearchStrategy[str]:
    """Keys that are known, and the marker."""
    known = ["work", "kind", "inspected_on", "supply", "services", "items", "id", "bonds", "size", "on", "locations", "measured_ohm"]
    return st.sampled_from([marker, f"{marker}/{marker}", *known])


def test_nothing_that_a_caller_wrote_is_in_a_refusal(client: TestClient) -> None:
    refused = 0

    @CALM
    @given(st.data())
    def ask(data: st.DataObject) -> None:
        nonlocal refused
        marker = data.draw(MARKERS)
        answer = client.request(
            data.draw(st.sampled_from(["GET", "POST", "POST", "POST", "DELETE", marker.upper()])),
            data.draw(st.sampled_from(PATHS)).replace("{}", marker),
            content=data.draw(spoiled(marker)),
            headers={"content-type": "application/json"} | data.draw(st.dictionaries(st.sampled_from(NAMES), st.just(marker), max_size=2)),
        )
        if answer.status_code >= 400:
            refused += 1
            assert marker not in (answer.text + str(answer.headers)).lower()

    ask()

    assert refused >= 200
