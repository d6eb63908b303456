"""What can be read again has an entity tag; who still has it gets 304."""

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON

from bondwright.api.edge.caching import matches
from bondwright.rulebook.pack import PackHead

TAG = '"0f"'


@pytest.fixture
def places(client: TestClient, packs: tuple[PackHead, ...]) -> dict[str, str]:
    """The path of each thing whose content never changes."""
    evaluation = client.post(EVALUATIONS, content=HOUSE, headers=JSON).headers["location"]
    pack, rule = f"/v1/rule-packs/{packs[0].pack_id}", packs[0].whole().rules[0]
    return {
        "evaluation": evaluation,
        "record": f"{evaluation}/record",
        "pack": pack,
        "rule": f"{pack}/rules/{rule.rule_id}",
    }


@pytest.mark.parametrize("name", [TAG, f"W/{TAG}", f'"a", W/{TAG} ,"b"', f'"a",{TAG}', "*", " * "])
def test_a_tag_that_still_stands_matches(name: str) -> None:
    assert matches(name, TAG)


@pytest.mark.parametrize("name", ["", '"0F"', "0f", '"0", "f"', '"*"', 'W/"0"', '"0f', "0f, *"])
def test_another_tag_does_not_match(name: str) -> None:
    assert not matches(name, TAG)


@pytest.mark.parametrize("thing", ["evaluation", "record", "pack", "rule"])
def test_what_rests_on_a_rule_pack_is_asked_for_again_for_the_pack_may_be_withdrawn(
    client: TestClient, places: dict[str, str], thing: str
) -> None:
    answer = client.get(places[thing])

    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["vary"] == "Accept, Authorization, Accept-Encoding"


@pytest.mark.parametrize("path", ["/v1/rule-packs", "/v1/calculations", EVALUATIONS, "/docs", "/openapi.json", "/problems"])
def test_what_may_change_is_asked_for_again(client: TestClient, path: str) -> None:
    answer = client.get(path, headers={"accept-encoding": "identity"})

    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["etag"].startswith('"')


@pytest.mark.parametrize("path", ["/livez", "/readyz"])
def test_health_is_never_kept(client: TestClient, path: str) -> None:
    answer = client.get(path, headers={"if-none-match": "*"})

    assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-store")
    assert "etag" not in answer.headers


@pytest.mark.parametrize("method", ["GET", "HEAD"])
@pytest.mark.parametrize("thing", ["evaluation", "record", "pack", "rule"])
def test_who_has_it_gets_304_with_the_headers_but_no_body(client: TestClient, places: dict[str, str], thing: str, method: str) -> None:
    first = client.get(places[thing])

    again = client.request(method, places[thing], headers={"if-none-match": f'"other", {first.headers["etag"]}'})

    assert (again.status_code, again.content) == (304, b"")
    left_out = {"content-encoding", "content-length", "content-type", "request-id"}
    assert dict(again.headers) | {"request-id": ""} == {k: v for k, v in first.headers.items() if k not in left_out} | {"request-id": ""}


def test_304_names_the_rule_pack(client: TestClient, places: dict[str, str]) -> None:
    again = client.get(places["evaluation"], headers={"if-none-match": "*"})

    assert (again.status_code, again.headers["rule-pack"]) == (304, client.get(places["evaluation"]).headers["rule-pack"])


def test_a_list_that_grew_is_sent_again(client: TestClient) -> None:
    before = client.get(EVALUATIONS)
    client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    after = client.get(EVALUATIONS, headers={"if-none-match": before.headers["etag"]})

    assert (before.status_code, after.status_code) == (200, 200)
    assert before.headers["etag"] != after.headers["etag"]


def test_a_problem_is_sent_even_to_who_has_anything(client: TestClient) -> None:
    answer = client.get(f"{EVALUATIONS}/none", headers={"if-none-match": "*"})

    assert answer.status_code == 404
    assert "etag" not in answer.headers


def test_answers_to_post_and_problems_are_never_kept(client: TestClient) -> None:
    answers = [
        client.post(EVALUATIONS, content=HOUSE, headers=JSON),
        client.post(EVALUATIONS),
        client.get("/none"),
        client.delete("/livez"),
    ]

    assert [answer.status_code for answer in answers] == [201, 415, 404, 405]
    assert {answer.headers["cache-control"] for answer in answers} == {"no-store"}
