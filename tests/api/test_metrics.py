"""What /metrics tells agrees with what was asked and recorded; prometheus_client's own parser reads it."""

import time

import pytest
from prometheus_client.parser import text_string_to_metric_families
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described
from tests.opened import in_place

Samples = dict[tuple[str, frozenset[tuple[str, str]]], float]


@pytest.fixture
def concluded() -> None:
    """Nothing: so each evaluation asks about every situation, and can be counted by them."""


def scraped(client: TestClient) -> Samples:
    """Every sample, by its name and labels."""
    families = text_string_to_metric_families(client.get("/metrics").text)
    return {(sample.name, frozenset(sample.labels.items())): sample.value for family in families for sample in family.samples}


def value(samples: Samples, name: str, **labels: str) -> float:
    """The sample of that name and exactly those labels; 0, if there is none."""
    return samples.get((f"bondwright_{name}", frozenset(labels.items())), 0)


def total(samples: Samples, name: str) -> float:
    """The sum over all labels."""
    return sum(number for (named, _), number in samples.items() if named == f"bondwright_{name}")


def test_it_is_text_of_the_version_that_prometheus_knows(client: TestClient) -> None:
    answer = client.get("/metrics")

    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/plain; version=0.0.4; charset=utf-8")


@pytest.mark.parametrize("name", ["requests_total", "request_seconds_count"])
def test_every_request_is_counted_once_by_route_and_method(name: str, client: TestClient) -> None:
    for method, path in [("POST", EVALUATIONS)] * 3 + [("GET", "/v1/rule-packs/none"), ("GET", "/v1/rule-packs/other"), ("BREW", "/x")]:
        client.request(method, path, content=HOUSE, headers=JSON)

    samples = scraped(client)
    status = {"requests_total": ({"status": "201"}, {"status": "404"}, {"status": "404"})}.get(name, ({}, {}, {}))
    assert value(samples, name, route=EVALUATIONS, method="POST", **status[0]) == 3
    assert value(samples, name, route="/v1/rule-packs/{pack_id}", method="GET", **status[1]) == 2
    assert value(samples, name, route="unmatched", method="OTHER", **status[2]) == 1
    assert total(samples, name) == 6


def test_the_seconds_of_requests_are_no_more_than_were_waited(client: TestClient) -> None:
    begun = time.perf_counter()
    client.post(EVALUATIONS, content=HOUSE, headers=JSON)
    waited = time.perf_counter() - begun

    assert 0 < value(scraped(client), "request_seconds_sum", route=EVALUATIONS, method="POST") <= waited


def test_evaluations_and_their_verdicts_are_counted_by_rule_pack(client: TestClient) -> None:
    answers = [in_place(client.post(EVALUATIONS, content=HOUSE, headers=JSON).json()["evaluation"]) for _ in range(2)]

    samples = scraped(client)
    pack = answers[0]["pack"]["pack_id"]
    subjects = [subject for answer in answers for subject in answer["parts"] + answer["rooms"]]
    verdicts = [(verdict["outcome"], verdict["act_on"]) for subject in subjects for verdict in subject["verdicts"]]
    assert value(samples, "evaluations_total", pack=pack) == total(samples, "evaluations_total") == 2
    assert total(samples, "verdicts_total") == len(verdicts) > 0
    assert {one: verdicts.count(one) for one in verdicts} == {
        one: value(samples, "verdicts_total", pack=pack, outcome=one[0], act_on=one[1]) for one in verdicts
    }


def test_refusals_are_counted_by_the_name_of_their_problem(client: TestClient) -> None:
    for body in (b"{", b"[]", described(services=[{"kind": "nonsense"}]), HOUSE):
        client.post(EVALUATIONS, content=body, headers=JSON)

    samples = scraped(client)
    assert value(samples, "problems_total", problem="not-json") == 1
    assert value(samples, "problems_total", problem="not-the-schema") == 2
    assert total(samples, "problems_total") == 3


def test_what_was_seen_before_is_remembered_and_counted_as_that(client: TestClient) -> None:
    client.post(EVALUATIONS, content=HOUSE, headers=JSON)
    first = scraped(client)
    client.post(EVALUATIONS, content=HOUSE, headers=JSON)
    second = scraped(client)

    pack = client.post(EVALUATIONS, content=HOUSE, headers=JSON).headers["rule-pack"]
    new, remembered = ([value(one, "situations_total", pack=pack, remembered=word) for one in (first, second)] for word in ("no", "yes"))
    assert 0 < new[0] == new[1]
    assert remembered[1] - remembered[0] == sum((new[0], remembered[0]))


def test_the_writing_of_records_is_counted(client: TestClient) -> None:
    for _ in range(3):
        client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    samples = scraped(client)
    told = [value(samples, name) for name in ("record_waiting", "record_writes_total", "record_commits_total")]
    assert told == [0, 3, 3]


def test_figures_of_the_process_are_there(client: TestClient) -> None:
    names = {name for name, _ in scraped(client)}

    assert {"process_resident_memory_bytes", "process_cpu_seconds_total", "process_open_fds", "python_gc_collections_total"} <= names


def test_every_application_counts_for_itself(client: TestClient) -> None:
    client.get("/v1/rule-packs")
    other = TestClient(client.app)

    assert total(scraped(other), "requests_total") == 1
    assert value(scraped(other), "requests_total", route="/metrics", method="GET", status="200") == 1


def test_no_label_holds_what_was_sent(client: TestClient) -> None:
    marked = described(reference="Zaunmark")
    sent = [("POST", EVALUATIONS, marked), ("GET", f"{EVALUATIONS}?reference=Zaunmark", b""), ("ZAUNMARK", "/Zaunmark", b"")]

    answers = [client.request(method, path, content=body, headers=JSON) for method, path, body in sent]

    told = client.get("/metrics").text
    assert [text for text in ("zaunmark", answers[0].json()["evaluation_id"]) if text in told.lower()] == []
