"""The outline of an evaluation: for programs, made of what is recorded, the same bytes whenever and however it is asked for."""

import asyncio
import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, THEIRS, bearer, evaluation_in, keyring, service
from tests.api.keep_documents import REQUEST
from tests.audit.form_1 import records as first
from tests.audit.form_2 import records as second
from tests.declared import declared
from tests.outlined import left_out, milder

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.audit.forms import content_of
from bondwright.audit.record import Search
from bondwright.errors import UnknownName
from bondwright.outline.making import outline_of
from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import Limits

MINIMAL = {"Prefer": "return=minimal"}
KEY = {"Idempotency-Key": "k"}
MOST_BYTES = 5_000


def asked(client: TestClient, body: bytes = HOUSE, headers: Mapping[str, str] = MINIMAL) -> Response:
    """The answer to a description."""
    answer = client.post(EVALUATIONS, content=body, headers={**JSON, **headers})
    assert answer.status_code == 201
    return answer


def outline_at(answer: Response) -> str:
    """Where the outline of what was answered is read."""
    return f"{answer.headers['location']}/outline"


def test_the_outline_of_the_example_is_small(client: TestClient) -> None:
    answer = asked(client, REQUEST.read_bytes())

    assert len(answer.content) <= MOST_BYTES
    assert len(answer.json()["outline"]["acts"]) == 5


def test_who_prefers_a_minimal_answer_gets_the_outline_that_is_read_later(client: TestClient) -> None:
    answer = asked(client)
    read = client.get(outline_at(answer))

    assert (read.status_code, read.content) == (200, answer.content)
    assert (answer.headers["preference-applied"], answer.headers["vary"]) == ("return=minimal", "Prefer, Accept-Encoding")
    assert read.headers["rule-pack"] == answer.headers["rule-pack"]


def test_what_is_recorded_is_the_same_whatever_is_preferred(client: TestClient) -> None:
    full, short = asked(client, headers={}), asked(client)
    read = client.get(short.headers["location"])

    assert evaluation_in(read.content) == evaluation_in(full.content)
    assert client.get(outline_at(full)).json()["outline"] == short.json()["outline"]


def test_an_evaluation_says_that_it_depends_on_what_is_preferred(client: TestClient) -> None:
    answer = asked(client, headers={"Prefer": "return=representation, respond-async"})

    assert (answer.headers["vary"], "preference-applied" in answer.headers) == ("Prefer, Accept-Encoding", False)
    assert "evaluation" in answer.json()


def test_a_request_that_is_sent_again_gets_either(client: TestClient) -> None:
    full, short, again = (asked(client, headers=KEY | preferred) for preferred in ({}, MINIMAL, {}))

    assert [one.headers.get("idempotency-replayed") for one in (full, short, again)] == [None, "true", "true"]
    assert (again.content, short.json()["evaluation_id"]) == (full.content, full.json()["evaluation_id"])


def test_it_costs_what_the_evaluation_costs(client: TestClient) -> None:
    full, short = asked(client, headers={}), asked(client)

    assert short.headers["price"] == full.headers["price"]


def test_it_fits_its_answer(client: TestClient) -> None:
    full = asked(client, REQUEST.read_bytes(), {})
    outline = client.get(outline_at(full)).json()["outline"]
    answer = content_of(evaluation_in(full.content))

    assert left_out(answer, outline) == []
    assert milder(answer, outline) == []
    assert outline["digests"] == {
        "rule_pack": answer["pack"]["digest"],
        "description": hashlib.sha256(REQUEST.read_bytes()).hexdigest(),
        "evaluation": hashlib.sha256(evaluation_in(full.content)).hexdigest(),
    }


@pytest.mark.parametrize(
    ("member", "value"),
    [("instruction", "leave"), ("firm", True), ("code", "C3"), ("act", "leave"), ("bonds", []), ("sizes", [])],
)
def test_an_outline_that_says_less_is_noticed(client: TestClient, member: str, value: Any) -> None:
    house = json.loads(REQUEST.read_bytes())
    house["services"][1]["bonds"] = "unknown" if member != "bonds" else house["services"][1]["bonds"]
    full = asked(client, json.dumps(house).encode(), {})
    outline, answer = client.get(outline_at(full)).json()["outline"], content_of(evaluation_in(full.content))

    for one in outline["acts"]:
        one[member] = value

    assert [*left_out(answer, outline), *milder(answer, outline)]


def test_an_act_of_which_nothing_is_known_is_stopped_at(packs: tuple[PackHead, ...], client: TestClient) -> None:
    full = asked(client, headers={})
    pack = next(pack for pack in packs if pack.pack_id == full.headers["rule-pack"]).whole()
    answer = evaluation_in(full.content).replace(b'"act":"leave"', b'"act":"unheard_of"')

    acts = outline_of(answer, HOUSE, pack).acts

    assert {act.instruction for act in acts if act.act == "unheard_of"} == {"stop"}


def test_its_links_lead_to_what_they_say(client: TestClient) -> None:
    links = asked(client).json()["links"]

    statuses = {name: client.request("POST" if name == "replay" else "GET", path).status_code for name, path in links.items()}
    assert statuses == {"evaluation": 200, "record": 200, "replay": 200, "rule_pack": 200}


def test_it_is_as_the_document_declares_it(client: TestClient) -> None:
    declared("RecordedOutline").validate(asked(client, REQUEST.read_bytes()).json())


def test_who_has_it_is_told_so(client: TestClient) -> None:
    read = client.get(outline_at(asked(client)))
    again = client.get(str(read.url), headers={"If-None-Match": read.headers["etag"]})

    assert read.headers["cache-control"] == "no-cache"
    assert read.headers["etag"] == f'W/"{hashlib.sha256(read.content).hexdigest()}"'
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize("named", ["0193a5f0-0000-7000-8000-000000000000", "none"])
def test_of_nothing_there_is_no_outline(client: TestClient, named: str) -> None:
    answer = client.get(f"{EVALUATIONS}/{named}/outline")

    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-name")


def test_it_is_its_tenant_s_alone_and_tells_what_the_key_has_left(bondwright: Bondwright, record_file: Path) -> None:
    with closing(keyring(record_file)) as keys:
        client = TestClient(create_app(bondwright, keys, Limits(evaluations_per_minute=9)), raise_server_exceptions=False)
        ours, theirs = (bearer(keys.create(tenant, SCOPES)[0]) for tenant in (OURS, THEIRS))
        path = outline_at(asked(client, headers=MINIMAL | ours))

        answers = [client.get(path, headers=headers) for headers in (ours, theirs, {})]

    assert [answer.status_code for answer in answers] == [200, 404, 401]
    assert answers[0].headers["ratelimit"].startswith('"evaluations";r=8')


def test_of_a_withdrawn_pack_a_header_says_so_and_the_bytes_stay(
    packs: tuple[PackHead, ...], bondwright: Bondwright, record_file: Path
) -> None:
    before = asked(TestClient(create_app(bondwright)))
    pack = before.headers["rule-pack"]
    successor = next(other.pack_id for other in packs if other.pack_id != pack)

    with closing(service(packs, record_file, withdrawn=[Withdrawal(pack, "it judged wrongly", date(2026, 11, 28), successor)])) as later:
        after = TestClient(create_app(later)).get(outline_at(before))

    assert (after.status_code, after.content) == (200, before.content)
    assert after.headers["rule-pack-withdrawn"] == f'"2026-11-28"; successor="{successor}"'


def test_the_pack_is_taken_from_the_record_where_it_is_not_published(
    packs: tuple[PackHead, ...], bondwright: Bondwright, record_file: Path
) -> None:
    answer = asked(TestClient(create_app(bondwright)))
    others = [pack for pack in packs if pack.pack_id != answer.headers["rule-pack"]]

    with closing(service(others, record_file)) as later:
        with pytest.raises(UnknownName):
            later.pack(answer.headers["rule-pack"])
        read = TestClient(create_app(later)).get(outline_at(answer))

    assert read.content == answer.content


@pytest.fixture(params=[first, second], ids=["form 1", "form 2"])
def earlier(request: pytest.FixtureRequest, packs: tuple[PackHead, ...], tmp_path: Path) -> Iterator[Bondwright]:
    """The service over records of an earlier form."""
    built = service(packs, request.param.record_file(tmp_path))
    yield built
    built.close()


def test_answers_of_earlier_forms_have_outlines(earlier: Bondwright) -> None:
    kept = [earlier.kept(one.evaluation_id, tenant) for tenant in ("heron", "tern") for one in earlier.find(Search(), None, 100, tenant)]

    assert kept
    for record in kept:
        answer, told = json.loads(record.evaluation_bytes), json.loads(asyncio.run(earlier.outlined(record)))
        declared("RecordedOutline").validate(told)
        assert left_out(answer, told["outline"]) == []
        assert milder(answer, told["outline"]) == []
