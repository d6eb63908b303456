"""A rule pack that is withdrawn judges nothing new; what it answered is served, found and replayed, and says so."""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described, service

from bondwright.api.app import create_app
from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

GONE, SUCCESSOR = "bs7671-2018-a4-r1", "bs7671-2018-a4-r11"
WITHDRAWAL = Withdrawal(GONE, "it let a bond pass that is too small", date(2026, 11, 28), SUCCESSOR)
IN_JSON = {"reason": WITHDRAWAL.reason, "since": "2026-11-28", "successor": SUCCESSOR}
HEADER = f'"2026-11-28"; successor="{SUCCESSOR}"'
NAMING = json.dumps(json.loads(HOUSE) | {"rule_pack": GONE, "reference": "Weir Cottage"}).encode()
SIZE = {"pme_conditions": "apply", "neutral_mm2": 25}
LINES = "/v1/batches"
JSON_LINES = {"content-type": "application/jsonl"}


def revisions(edition: str) -> list[str]:
    """The ids of every revision of an edition that is published."""
    return [pack.pack_id for pack in on_shelf(rules_folder()) if re.fullmatch(rf"{edition}-r[0-9]+", pack.pack_id)]


@dataclass(frozen=True)
class Then:
    """What was asked before the pack was withdrawn: the place of the answer, its body, and the answer to a batch."""

    place: str
    body: bytes
    etag: str
    batch: bytes


@pytest.fixture
def opened(packs: tuple[PackHead, ...], record_file: Path) -> Iterator[Callable[[Sequence[Withdrawal]], TestClient]]:
    """Asks a service over the one record file, with that withdrawn."""
    services = []

    def open_with(withdrawn: Sequence[Withdrawal]) -> TestClient:
        services.append(service(packs, record_file, withdrawn=withdrawn))
        return TestClient(create_app(services[-1]), raise_server_exceptions=False)

    yield open_with
    for one in services:
        one.close()


@pytest.fixture
def then(opened: Callable[[Sequence[Withdrawal]], TestClient]) -> Then:
    """A house judged by the pack while it stood, by itself and in a batch, and another house that a date chose the pack for."""
    client = opened(())
    answer = client.post(EVALUATIONS, content=NAMING, headers=JSON | {"idempotency-key": "one"})
    assert (answer.status_code, answer.headers["rule-pack"], "rule-pack-withdrawn" in answer.headers) == (201, GONE, False)
    batch = client.post(LINES, content=NAMING + b"\n" + HOUSE, headers=JSON_LINES | {"idempotency-key": "many"})
    read = client.get(answer.headers["location"])
    assert (read.content, "rule-pack-withdrawn" in read.headers) == (answer.content, False)
    return Then(answer.headers["location"], read.content, read.headers["etag"], batch.content)


@pytest.fixture
def now(opened: Callable[[Sequence[Withdrawal]], TestClient], then: Then) -> TestClient:
    """Asks the service since the pack is withdrawn."""
    assert then
    return opened([WITHDRAWAL])


def refusal(answer: Any) -> tuple[int, str, str]:
    """Status, pointer and words of a refusal with one fault."""
    (fault,) = answer.json()["errors"]
    return answer.status_code, fault["pointer"], fault["detail"]


def test_a_description_that_names_it_is_refused_with_its_successor(now: TestClient) -> None:
    digest = now.get(f"/v1/rule-packs/{GONE}").json()["digest"]

    for name in (GONE, digest):
        status, pointer, words = refusal(now.post(EVALUATIONS, content=described(rule_pack=name), headers=JSON))

        assert (status, pointer) == (409, "/rule_pack")
        assert words.startswith(f"rule pack {GONE} is withdrawn since 2026-11-28 ({WITHDRAWAL.reason}); {SUCCESSOR} stands in its place")


def test_a_line_of_a_batch_that_names_it_is_refused_and_the_others_go_on(now: TestClient) -> None:
    told = now.post(LINES, content=NAMING + b"\n" + HOUSE, headers=JSON_LINES)

    first, second, end = (json.loads(line) for line in told.content.splitlines())
    assert (first["status"], first["problem"]["errors"][0]["pointer"], second["status"], end["recorded"]) == (409, "/rule_pack", 201, 1)
    assert SUCCESSOR in first["problem"]["errors"][0]["detail"]
    assert "withdrawn" not in second


def test_a_calculation_that_names_it_is_refused_and_one_that_names_none_uses_a_pack_that_stands(now: TestClient) -> None:
    path = "/v1/calculations/main-bond-size"

    status, pointer, words = refusal(now.post(path, json=SIZE | {"rule_pack": GONE}))

    assert (status, pointer, SUCCESSOR in words) == (409, "/rule_pack", True)
    assert now.post(path, json=SIZE).headers["rule-pack"] == SUCCESSOR


def test_before_it_was_withdrawn_all_of_these_were_answered(opened: Callable[[Sequence[Withdrawal]], TestClient]) -> None:
    client = opened(())

    answers = [
        client.post(EVALUATIONS, content=NAMING, headers=JSON),
        client.post("/v1/calculations/main-bond-size", json=SIZE | {"rule_pack": GONE}),
    ]
    batch = client.post(LINES, content=NAMING, headers=JSON_LINES).content.splitlines()

    assert [(one.status_code, one.headers["rule-pack"]) for one in answers] == [(201, GONE), (200, GONE)]
    assert json.loads(batch[0])["status"] == 201


def test_its_answer_is_served_unchanged_and_a_header_says_that_it_is_withdrawn(now: TestClient, then: Then) -> None:
    answer = now.get(then.place)

    assert (answer.status_code, answer.content, answer.headers["etag"]) == (200, then.body, then.etag)
    assert (answer.headers["rule-pack"], answer.headers["rule-pack-withdrawn"]) == (GONE, HEADER)


def test_who_kept_its_answer_and_asks_whether_it_stands_is_told_so_too(now: TestClient, then: Then) -> None:
    answer = now.get(then.place, headers={"if-none-match": then.etag})

    assert (answer.status_code, answer.content, answer.headers["rule-pack-withdrawn"]) == (304, b"", HEADER)


def test_its_record_says_so_in_its_body(now: TestClient, then: Then, opened: Callable[[Sequence[Withdrawal]], TestClient]) -> None:
    before, after = (client.get(f"{then.place}/record") for client in (opened(()), now))

    assert (before.json()["rule_pack"]["withdrawn"], after.json()["rule_pack"]["withdrawn"]) == (None, IN_JSON)
    assert after.headers["rule-pack-withdrawn"] == HEADER
    assert after.json()["evaluation"] == before.json()["evaluation"] == json.loads(then.body)["evaluation"]


def test_it_is_replayed_to_the_same_bytes(now: TestClient, then: Then) -> None:
    answer = now.post(f"{then.place}/replay")

    told = answer.json()
    assert (told["same_bytes"], told["same_levels"], told["withdrawn"]) == ("same", True, IN_JSON)
    assert answer.headers["rule-pack-withdrawn"] == HEADER


def test_a_request_that_is_sent_again_gets_its_first_answer_which_says_so(now: TestClient, then: Then) -> None:
    answer = now.post(EVALUATIONS, content=NAMING, headers=JSON | {"idempotency-key": "one"})

    assert (answer.status_code, answer.content, answer.headers["idempotency-replayed"]) == (201, then.body, "true")
    assert answer.headers["rule-pack-withdrawn"] == HEADER


def test_a_batch_that_is_sent_again_gets_its_first_answers_and_the_line_says_so(now: TestClient, then: Then) -> None:
    again = now.post(LINES, content=NAMING + b"\n" + HOUSE, headers=JSON_LINES | {"idempotency-key": "many"}).content

    (old_first, old_second, _), (first, second, end) = (some.splitlines() for some in (then.batch, again))
    told = json.loads(first)
    assert (told.pop("withdrawn"), told) == (IN_JSON, json.loads(old_first))
    assert (second, json.loads(end)["recorded"]) == (old_second, 2)


def test_a_search_lists_what_rests_on_it(now: TestClient, then: Then, opened: Callable[[Sequence[Withdrawal]], TestClient]) -> None:
    before, after = (client.get(EVALUATIONS, params={"rests_on_withdrawn": "yes"}).json() for client in (opened(()), now))

    assert before == {"evaluations": [], "next": None}
    assert [(one["pack_id"], one["reference"], one["rests_on_withdrawn"]) for one in after["evaluations"]] == [
        (GONE, "Weir Cottage", True)
    ] * 2
    assert then.place.endswith(after["evaluations"][0]["evaluation_id"])
    assert [one["rests_on_withdrawn"] for one in now.get(EVALUATIONS).json()["evaluations"]] == [True, True, False]


def test_a_search_for_it_goes_from_page_to_page_and_with_other_filters(now: TestClient) -> None:
    wanted = {"rests_on_withdrawn": "yes", "limit": "1"}

    first = now.get(EVALUATIONS, params=wanted)
    second = now.get(first.headers["link"].split(">")[0][1:])

    assert [[one["counter"] for one in page.json()["evaluations"]] for page in (first, second)] == [[1], [2]]
    assert now.get(EVALUATIONS, params=wanted | {"pack": SUCCESSOR}).json()["evaluations"] == []
    assert len(now.get(EVALUATIONS, params=wanted | {"pack": GONE, "limit": "9"}).json()["evaluations"]) == 2


@pytest.mark.parametrize("value", ["no", "", "YES", "yes&rests_on_withdrawn=yes"])
def test_the_filter_takes_yes_alone(now: TestClient, value: str) -> None:
    answer = now.get(f"{EVALUATIONS}?rests_on_withdrawn={value}")

    assert (answer.status_code, [fault["pointer"] for fault in answer.json()["errors"]]) == (422, ["/rests_on_withdrawn"])


def test_the_rule_packs_say_which_is_withdrawn_why_since_when_and_by_what_replaced(
    now: TestClient, opened: Callable[[Sequence[Withdrawal]], TestClient]
) -> None:
    told = {one["pack_id"]: one["withdrawn"] for one in now.get("/v1/rule-packs").json()["rule_packs"]}
    one, rule = now.get(f"/v1/rule-packs/{GONE}"), now.get(f"/v1/rule-packs/{GONE}/rules/extraneous-needs-main-bond")
    before = opened(()).get(f"/v1/rule-packs/{GONE}")

    assert {pack_id for pack_id, withdrawn in told.items() if withdrawn} == {GONE}
    assert (told[GONE], one.json()["withdrawn"], before.json()["withdrawn"]) == (IN_JSON, IN_JSON, None)
    assert [answer.headers.get("rule-pack-withdrawn") for answer in (one, rule, before)] == [HEADER, HEADER, None]
    assert before.headers["etag"] != one.headers["etag"]


def test_a_date_passes_over_it_and_answers_name_it_no_more_among_the_usable(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    overlap = described(work={"kind": "alteration", "designed_on": "2026-06-01"})
    gone = [Withdrawal(one, "x", date(2026, 11, 28), SUCCESSOR) for one in revisions("bs7671-2018-a3")]
    with closing(service(packs, tmp_path / "a.sqlite")) as before, closing(service(packs, tmp_path / "b.sqlite", withdrawn=gone)) as after:
        named = [[other.pack_id for other in one.evaluate(overlap).evaluation.pack.also_usable] for one in (before, after)]

    assert [["bs7671-2018-a3-r11" in some for some in named], named[0] != named[1]] == [[True, False], True]


def test_work_of_a_day_whose_packs_are_withdrawn_is_refused_with_the_way_out(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    gone = [Withdrawal(one, "x", date(2026, 11, 28), SUCCESSOR) for one in revisions("bs7671-2018")]
    work = {"kind": "new_installation", "designed_on": "2019-06-01"}
    with closing(service(packs, tmp_path / "record.sqlite", withdrawn=gone)) as bondwright:
        client = TestClient(create_app(bondwright), raise_server_exceptions=False)

        status, pointer, words = refusal(client.post(EVALUATIONS, content=described(work=work), headers=JSON))
        named = client.post(EVALUATIONS, content=described(work=work, rule_pack=SUCCESSOR), headers=JSON)

    assert (status, pointer) == (409, "/work/designed_on")
    assert words.endswith(
        f"{SUCCESSOR} stands in its place, and was not in use on this day; to be judged by it all the same, name it in `rule_pack`"
    )
    assert (named.status_code, named.headers["rule-pack"]) == (201, SUCCESSOR)


def test_what_a_date_chose_is_replayed_though_the_date_would_be_refused_today(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    old = described(work={"kind": "new_installation", "designed_on": "2019-06-01"})
    with closing(service(packs, tmp_path / "record.sqlite")) as bondwright:
        client = TestClient(create_app(bondwright), raise_server_exceptions=False)
        place = client.post(EVALUATIONS, content=old, headers=JSON).headers["location"]
    gone = [Withdrawal(one, "x", date(2026, 11, 28), SUCCESSOR) for one in revisions("bs7671-2018")]

    with closing(service(packs, tmp_path / "record.sqlite", withdrawn=gone)) as bondwright:
        told = TestClient(create_app(bondwright), raise_server_exceptions=False).post(f"{place}/replay").json()

    assert (told["same_bytes"], told["not_evaluated"], told["withdrawn"]["successor"]) == ("same", None, SUCCESSOR)
