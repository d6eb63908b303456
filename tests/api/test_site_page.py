"""A recorded evaluation as a page of plain text: the one of the command line, and what is behind it."""

import asyncio
import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, service
from tests.api.test_records import changed
from tests.cli.command import HOUSE
from tests.cli.keep_golden import GOLDEN

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.assembly.parts import versions
from bondwright.assembly.sharing.apart import Apart, Ways
from bondwright.members import replace
from bondwright.rulebook.pack import PackHead
from bondwright.settings import USUAL_LIMITS

CALLS = {"--why NAME": "?why=NAME", "--full": "?whole=yes"}


@pytest.fixture
def page(bondwright: Bondwright) -> str:
    """Where the page of the house is."""
    return f"{EVALUATIONS}/{asyncio.run(bondwright.submit(HOUSE.read_bytes())).evaluation_id}/page"


def test_the_page_is_that_of_the_command_line_but_for_how_more_is_asked_for(client: TestClient, page: str) -> None:
    answer = client.get(page)

    expected = GOLDEN.read_text(encoding="utf-8")
    for there, here in CALLS.items():
        expected = expected.replace(there, here)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/plain; charset=utf-8")
    assert " ".join(answer.text.split()) == " ".join(expected.split())
    assert answer.headers["rule-pack"].startswith("bs7671-")


def test_everything_behind_one_thing_is_asked_for_by_its_name(client: TestClient, page: str) -> None:
    told = client.get(page, params={"why": "gas"}).text

    assert told.startswith("gas (steel gas service) [/services/1]: ")
    assert "rule metal-from-ground" in " ".join(told.split())


def test_the_whole_answer_is_there_too(client: TestClient, page: str) -> None:
    assert client.get(page, params={"whole": "yes"}).text == (GOLDEN.parent / "house-whole.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("asked", "status", "pointer", "detail"),
    [
        ({"why": "gsa"}, 409, "/why", "nothing in this evaluation is called so; write one of: water, "),
        ({"whole": "no"}, 422, "/whole", "write `yes`"),
        ({"wy": "gas"}, 422, "/wy", "unknown key; did you mean `why`?"),
        ({"why": "gas", "whole": "yes"}, 409, "/whole", "leave out `why` or this"),
        ({"why": ["gas", "water"]}, 422, "/why", "given more than once; give it once"),
    ],
)
def test_what_cannot_be_asked_is_told_at_its_parameter(
    client: TestClient, page: str, asked: dict[str, str], status: int, pointer: str, detail: str
) -> None:
    answer = client.get(page, params=asked)

    assert answer.status_code == status
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == pointer
    assert detail in fault["detail"]


def test_there_is_no_page_of_what_nobody_recorded(client: TestClient) -> None:
    assert client.get(f"{EVALUATIONS}/0197c0de-0000-7000-8000-000000000000/page").status_code == 404


def test_a_reader_of_json_alone_is_not_sent_text(client: TestClient, page: str) -> None:
    assert client.get(page, headers={"accept": "application/json"}).status_code == 406


def test_a_page_that_would_say_something_else_than_was_answered_is_refused(client: TestClient, page: str, record_file: Path) -> None:
    evaluation = json.loads(client.get(page.removesuffix("/page")).content)["evaluation"]
    evaluation["parts"][1]["act"] = "forged"
    changed(record_file, "evaluation_bytes", json.dumps(evaluation, separators=(",", ":"), ensure_ascii=False).encode())

    answer = client.get(page)

    assert answer.status_code == 409
    assert "replay it to see where they differ" in answer.json()["errors"][0]["detail"]


def test_what_costs_much_has_its_page_from_the_other_process(packs: tuple[PackHead, ...], record_file: Path) -> None:
    there = service(
        packs,
        record_file,
        limits=replace(USUAL_LIMITS, apart_above=0),
        apart=Apart(Ways(tuple(pack.digest for pack in packs), (), versions())),
    )
    evaluation_id = asyncio.run(there.submit(HOUSE.read_bytes())).evaluation_id

    answer = TestClient(create_app(there)).get(f"{EVALUATIONS}/{evaluation_id}/page", params={"why": "gas"})
    there.close()

    assert answer.status_code == 200
    assert answer.text.startswith("gas (steel gas service)")
