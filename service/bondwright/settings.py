"""What the environment asks for; nothing else reads it."""

import math
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from bondwright.errors import WrongSetting

_LONGEST_S = 600
_DRAIN_S = 0.0
_FINISH_S = 10.0
_MOST_AT_ONCE = 100_000
_MOST_PER_MINUTE = 1_000_000
_MOST_PRICE = 1_000_000
_HIGHEST_WEIGHT = 1_000.0
_ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:[0-9]{1,5})?")


@dataclass(frozen=True, slots=True)
class Prices:
    """What a description costs for each thing in it; the README's house comes to 1 (tests/benchmarks/bench_prices.py).

    `base`: whatever it holds. `kilobyte`: of the body. `length`: of services and items. `bond`, `reading`: found on them. `room`;
    `circuit` of one. `shown`: a length that a room shows, once for each time that the room names it. `calculation`: up to 25 loads, parts
    or the like, and for more by the square of their number. `search`: a page.
    """

    base: float = 0.6
    kilobyte: float = 0.1
    length: float = 0.18
    bond: float = 0.12
    reading: float = 0.03
    room: float = 0.25
    circuit: float = 0.04
    shown: float = 0.075
    calculation: float = 1.0
    search: float = 1.0


USUAL_PRICES = Prices()
"""Those of a machine on which nothing is set."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the service takes on.

    `head_s`, `body_s`: within how many seconds the head of a request must have come, 0 without limit, and its body. `most_at_once`:
    requests in progress; of one tenant, as many as are left free. `evaluations_per_minute`: of each key, in prices, 0 without limit;
    counted by each process for itself. `apart_above`: what costs more is evaluated by a process of its own. `most_price`: what costs
    more is refused.
    """

    head_s: float = 10.0
    body_s: float = 20.0
    most_at_once: int = 256  # of one tenant some 1 s of work; beyond it, they only wait longer (tests/benchmarks/bench_shedding.py)
    evaluations_per_minute: int = 1_200
    prices: Prices = USUAL_PRICES
    apart_above: int = 4
    most_price: int = 1_600


USUAL_LIMITS = Limits()
"""Those of a machine on which nothing is set."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What differs from one installation of the service to the next.

    `data_folder` holds the record, unless `database` says where it is: the address of a PostgreSQL database, as libpq takes it. Told to
    stop, the service goes on listening for `drain_s`, no longer ready; then it answers what was taken on, for `finish_s` at most.
    `origins`: those whose pages are let in by browsers (CORS), as `https://desk.example.com`.
    """

    data_folder: Path
    database: str = field(default="", repr=False)  # it may hold a password
    drain_s: float = _DRAIN_S
    finish_s: float = _FINISH_S
    limits: Limits = USUAL_LIMITS
    origins: tuple[str, ...] = ()


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """The settings that `environment` asks for, by default the process's own; README lists them. What is empty counts as left out.

    Raises: WrongSetting.
    """
    given = os.environ if environment is None else environment
    return Settings(
        _folder(given, "BONDWRIGHT_DATA", "~/.local/share/bondwright"),
        given.get("BONDWRIGHT_DATABASE", ""),
        _seconds(given, "BONDWRIGHT_DRAIN_S", _DRAIN_S),
        _seconds(given, "BONDWRIGHT_FINISH_S", _FINISH_S),
        _limits(given),
        _origins(given, "BONDWRIGHT_ORIGINS"),
    )


def calculate_on_one_thread() -> None:
    """Keeps the library that solves networks from starting threads; before it is loaded, or to no effect.

    They wait for each other by spinning: on a busy machine a network of 60 loads took 500 ms of processor instead of 25 (2026-11-29).
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _limits(given: Mapping[str, str]) -> Limits:
    return Limits(
        _seconds(given, "BONDWRIGHT_HEAD_S", USUAL_LIMITS.head_s),
        _seconds(given, "BONDWRIGHT_BODY_S", USUAL_LIMITS.body_s),
        _number(given, "BONDWRIGHT_MOST_AT_ONCE", USUAL_LIMITS.most_at_once, 1, _MOST_AT_ONCE),
        _number(given, "BONDWRIGHT_EVALUATIONS_PER_MINUTE", USUAL_LIMITS.evaluations_per_minute, 0, _MOST_PER_MINUTE),
        _prices(given, "BONDWRIGHT_PRICES"),
        _number(given, "BONDWRIGHT_APART_ABOVE", USUAL_LIMITS.apart_above, 1, _MOST_PRICE),
        _number(given, "BONDWRIGHT_MOST_PRICE", USUAL_LIMITS.most_price, 1, _MOST_PRICE),
    )


def _prices(given: Mapping[str, str], name: str) -> Prices:
    """The usual prices, but for those that are given, as in `bond=0.3,shown=0.5`."""
    changed: dict[str, float] = {}
    for entry in filter(None, given.get(name, "").split(",")):
        thing, _, text = entry.partition("=")
        if thing not in Prices.__slots__ or thing in changed:
            way_out = "once" if thing in changed else f"one of {', '.join(Prices.__slots__)}"
            raise WrongSetting(name, f"`{entry}` is no price; write `NAME=NUMBER`, several with a comma between them, NAME {way_out}")
        try:
            changed[thing] = float(text)
        except ValueError:
            changed[thing] = math.nan
        if not 0 <= changed[thing] <= _HIGHEST_WEIGHT:
            raise WrongSetting(name, f"`{entry}`: a price is a number from 0 to {_HIGHEST_WEIGHT:g}; leave it out for the usual one")
    return replace(USUAL_PRICES, **changed)


def _origins(given: Mapping[str, str], name: str) -> tuple[str, ...]:
    origins = tuple(filter(None, (entry.strip() for entry in given.get(name, "").split(","))))
    for origin in origins:
        if not _ORIGIN.fullmatch(origin):
            way_out = "write it as `https://desk.example.com`, in small letters, with its port if it has one and nothing behind"
            raise WrongSetting(name, f"`{origin}` is no origin; {way_out}; several with a comma between them")
    return origins


def _folder(given: Mapping[str, str], name: str, default: str) -> Path:
    try:
        return Path(given.get(name, "") or default).expanduser()
    except RuntimeError:
        raise WrongSetting(name, f"no home folder is known for `{given.get(name, '') or default}`; write the path in full") from None


def _seconds(given: Mapping[str, str], name: str, default: float) -> float:
    text = given.get(name, "")
    if not text:
        return default
    try:
        seconds = float(text)
    except ValueError:
        seconds = math.nan
    if not 0 <= seconds <= _LONGEST_S:
        raise WrongSetting(name, f"`{text}` is no number of seconds from 0 to {_LONGEST_S}; leave it out for {default:g}")
    return seconds


def _number(given: Mapping[str, str], name: str, default: int, least: int, most: int) -> int:
    text = given.get(name, "")
    if not text:
        return default
    if not (text.isascii() and text.isdecimal() and len(text) <= len(str(most)) and least <= int(text) <= most):
        raise WrongSetting(name, f"`{text}` is no whole number from {least} to {most}; leave it out for {default}")
    return int(text)
