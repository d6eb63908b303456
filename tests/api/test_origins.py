"""Pages of other origins (CORS): let in only where the operator names them, by preflight and by answer; nothing is said otherwise."""

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.errors import WrongSetting
from bondwright.settings import read_settings

DESK, ELSEWHERE = "https://desk.example.com", "https://elsewhere.example.com"
PREFLIGHT = {"access-control-request-method": "POST", "access-control-request-headers": "authorization, content-type"}


@pytest.fixture
def let_in(bondwright: Bondwright) -> TestClient:
    """Asks a service that lets in pages of one origin."""
    return TestClient(create_app(bondwright, origins=(DESK,)), raise_server_exceptions=False)


def of_cors(answer: object) -> dict[str, str]:
    """The headers of an answer that are about origins."""
    headers: dict[str, str] = dict(answer.headers)  # type: ignore[attr-defined]  # an answer of any client
    return {name: value for name, value in headers.items() if name.startswith("access-control-")}


def test_a_preflight_of_a_named_origin_is_answered_with_the_methods_of_the_path(let_in: TestClient) -> None:
    answer = let_in.options(EVALUATIONS, headers={"origin": DESK, **PREFLIGHT})

    assert (answer.status_code, answer.headers["allow"], answer.headers["vary"]) == (204, "GET, HEAD, OPTIONS, POST", "Origin")
    assert of_cors(answer) == {
        "access-control-allow-origin": DESK,
        "access-control-allow-methods": "GET, HEAD, OPTIONS, POST",
        "access-control-allow-headers": "Authorization, Content-Type, Idempotency-Key, If-None-Match, Prefer",
        "access-control-max-age": "600",
    }


def test_an_answer_to_a_named_origin_may_be_read_with_its_headers(let_in: TestClient) -> None:
    answer = let_in.post(EVALUATIONS, content=HOUSE, headers=JSON | {"origin": DESK})

    told = of_cors(answer)
    exposed = {name.strip().lower() for name in told["access-control-expose-headers"].split(",")}
    assert (answer.status_code, told["access-control-allow-origin"]) == (201, DESK)
    assert {"location", "request-id", "rule-pack", "price"} <= exposed
    assert "access-control-allow-credentials" not in told


@pytest.mark.parametrize(("path", "status"), [("/v1/rule-packs?x=1", 422), ("/none", 404), ("/v1/evaluations/none", 404)])
def test_a_problem_may_be_read_too(let_in: TestClient, path: str, status: int) -> None:
    answer = let_in.get(path, headers={"origin": DESK})

    assert (answer.status_code, of_cors(answer)["access-control-allow-origin"]) == (status, DESK)


@pytest.mark.parametrize(
    "origin", [ELSEWHERE, "https://desk.example.com.evil.test", "http://desk.example.com", "https://desk.example.com:8443", "null", ""]
)
def test_any_other_origin_is_told_nothing(let_in: TestClient, origin: str) -> None:
    preflight = let_in.options(EVALUATIONS, headers={"origin": origin, **PREFLIGHT})
    answer = let_in.get("/v1/rule-packs", headers={"origin": origin})

    assert (preflight.status_code, of_cors(preflight), of_cors(answer)) == (204, {}, {})
    assert "Origin" in preflight.headers["vary"] and "Origin" in answer.headers["vary"]


def test_what_is_not_asked_by_a_page_is_answered_as_before_but_for_vary(let_in: TestClient, client: TestClient) -> None:
    (with_cors, without) = (one.options(EVALUATIONS) for one in (let_in, client))

    assert of_cors(with_cors) == {}
    assert {name for name in with_cors.headers if name not in without.headers} == {"vary"}


def test_a_preflight_for_a_path_that_is_not_there_finds_nothing(let_in: TestClient) -> None:
    assert let_in.options("/none", headers={"origin": DESK, **PREFLIGHT}).status_code == 404


def test_figures_for_the_operator_stay_with_the_operator(let_in: TestClient) -> None:
    assert of_cors(let_in.get("/metrics", headers={"origin": DESK})) == {}


def test_no_origin_is_let_in_unless_one_is_named(client: TestClient) -> None:
    preflight = client.options(EVALUATIONS, headers={"origin": DESK, **PREFLIGHT})
    answer = client.get("/v1/rule-packs", headers={"origin": DESK})

    assert (of_cors(preflight), of_cors(answer), "vary" in preflight.headers) == ({}, {}, False)
    assert read_settings({}).origins == ()


def test_origins_are_named_in_the_environment() -> None:
    given = {"BONDWRIGHT_ORIGINS": "https://desk.example.com, http://localhost:5173"}

    assert read_settings(given).origins == (DESK, "http://localhost:5173")


@pytest.mark.parametrize("text", ["*", "desk.example.com", "https://desk.example.com/", "https://Desk.example.com", "https://a b", "null"])
def test_what_is_no_origin_is_refused_at_the_start(text: str) -> None:
    with pytest.raises(WrongSetting, match=r"^BONDWRIGHT_ORIGINS: .* is no origin; write it as `https://desk.example.com`"):
        read_settings({"BONDWRIGHT_ORIGINS": f"https://desk.example.com,{text}"})
