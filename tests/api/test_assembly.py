"""The service without its front, and the settings it is built from."""

import asyncio
import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Event

import pytest
from tests.api.builders import HOUSE, service

from bondwright.assembly import Bondwright, build
from bondwright.assembly.recording import Salts
from bondwright.engine.compiled import Fired
from bondwright.engine.durable import DurableChannel
from bondwright.errors import WrongSetting
from bondwright.members import replace
from bondwright.rulebook.pack import PackHead
from bondwright.settings import USUAL_LIMITS, USUAL_PRICES, Limits, Settings, calculate_on_one_thread, read_settings


def test_the_data_folder_is_the_one_asked_for() -> None:
    settings = read_settings({"BONDWRIGHT_DATA": "/srv/bondwright"})

    assert settings == Settings(Path("/srv/bondwright"))


def test_the_data_folder_lies_at_home_when_none_is_asked_for() -> None:
    settings = read_settings({"BONDWRIGHT_DATA": ""})

    assert settings == Settings(Path.home() / ".local" / "share" / "bondwright")


def test_evaluating_alone_makes_no_folder(tmp_path: Path) -> None:
    bondwright = build(Settings(tmp_path / "data"))

    evaluated = bondwright.evaluate(HOUSE)
    bondwright.close()

    assert evaluated.evaluation.reference == "Sandpiper Row 3"
    assert not (tmp_path / "data").exists()


def test_the_same_description_gives_the_same_bytes(bondwright: Bondwright) -> None:
    first, second = (bondwright.evaluate(HOUSE).body for _ in range(2))

    assert first == second


def test_an_evaluation_leaves_the_event_loop_free(packs: tuple[PackHead, ...], record_file: Path) -> None:
    loop_went_on, waited = Event(), []

    class Waiting(DurableChannel):
        """Goes on once the event loop has."""

        def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
            waited.append(loop_went_on.wait(timeout=30))
            return super().__call__(rows)

    async def submitted() -> None:
        answer = asyncio.create_task(bondwright.submit(HOUSE))
        await asyncio.sleep(0)  # it has begun
        loop_went_on.set()
        await answer

    bondwright = service(packs, record_file, build_channel=Waiting)
    asyncio.run(submitted())
    bondwright.close()

    assert set(waited) == {True}


def test_no_salt_is_given_twice() -> None:
    salts = Salts()

    with ThreadPoolExecutor(4) as threads:
        given = list(threads.map(lambda _: salts.next(), range(1_000)))

    assert {len(salt) for salt in given} == {16}
    assert len(set(given)) == 1_000


def test_limits_come_from_the_environment() -> None:
    settings = read_settings({"BONDWRIGHT_BODY_S": "5", "BONDWRIGHT_MOST_AT_ONCE": "200", "BONDWRIGHT_EVALUATIONS_PER_MINUTE": "0"})

    assert settings.limits == Limits(body_s=5, most_at_once=200, evaluations_per_minute=0)


def test_limits_left_empty_are_the_usual_ones() -> None:
    settings = read_settings({"BONDWRIGHT_BODY_S": "", "BONDWRIGHT_MOST_AT_ONCE": ""})

    assert settings.limits == USUAL_LIMITS


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "five", "٣", "9" * 5000, "100001", " 5"])
def test_a_limit_that_is_none_is_refused_by_the_name_of_its_variable(text: str) -> None:
    with pytest.raises(WrongSetting, match=r"^BONDWRIGHT_MOST_AT_ONCE: .* is no whole number from 1 to 100000; leave it out for 256$"):
        read_settings({"BONDWRIGHT_MOST_AT_ONCE": text})


def test_prices_and_their_limits_come_from_the_environment_and_the_rest_are_the_usual_ones() -> None:
    given = {"BONDWRIGHT_PRICES": "bond=0.5,shown=0", "BONDWRIGHT_APART_ABOVE": "7", "BONDWRIGHT_MOST_PRICE": "900"}

    assert read_settings(given).limits == Limits(prices=replace(USUAL_PRICES, bond=0.5, shown=0), apart_above=7, most_price=900)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("bonds=1", "`bonds=1` is no price; write `NAME=NUMBER`, .* NAME one of base, kilobyte, .*search"),
        ("bond", "`bond`: a price is a number from 0 to 1000"),
        ("bond=-1", "`bond=-1`: a price is a number from 0 to 1000"),
        ("bond=1001", "`bond=1001`: a price is a number from 0 to 1000"),
        ("bond=nan", "`bond=nan`: a price is a number from 0 to 1000"),
        ("bond=1,bond=2", "`bond=2` is no price; .* NAME once"),
    ],
)
def test_a_price_that_is_none_is_refused(text: str, what: str) -> None:
    with pytest.raises(WrongSetting, match=f"^BONDWRIGHT_PRICES: {what}"):
        read_settings({"BONDWRIGHT_PRICES": text})


@pytest.mark.parametrize(("given", "threads"), [(None, "1"), ("3", "3")])
def test_networks_are_solved_on_one_thread_unless_the_environment_says_otherwise(
    monkeypatch: pytest.MonkeyPatch, given: str | None, threads: str
) -> None:
    name = "OPENBLAS_NUM_THREADS"
    monkeypatch.setenv(name, given or "")
    if given is None:
        monkeypatch.delenv(name)

    calculate_on_one_thread()

    assert os.environ[name] == threads
