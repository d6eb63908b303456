"""What a description costs: worked out from what it counts up to, before anything is read strictly or decided."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, fields
from datetime import date
from typing import Any, TypeAlias

import orjson

from bondwright.errors import Fault, TooMuch
from bondwright.settings import Prices

MOST_BYTES_A_PRICE = 150_000
"""An answer has no more for each unit of its price; 133,000 were the most that was met (tests/benchmarks/bench_prices.py, 2026-11-29)."""

_KB = 1_000
_IN_A_NETWORK = 25
_WAYS_OUT: dict[str, tuple[str, str]] = {
    "kilobyte": ("", "bytes"),
    "length": ("", "lengths of metalwork"),
    "bond": ("", "bonds"),
    "reading": ("", "readings"),
    "room": ("/locations", "rooms"),
    "circuit": ("/locations", "circuits"),
    "shown": ("/locations", "lengths that rooms show, each as often as a room names it"),
}


Editions: TypeAlias = Callable[[date], int]
"""How many rule packs judge work of a day: each of them costs."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How much there is in a description of what its price is made of, see Prices."""

    base: float = 1.0
    kilobyte: float = 0.0
    length: float = 0.0
    bond: float = 0.0
    reading: float = 0.0
    room: float = 0.0
    circuit: float = 0.0
    shown: float = 0.0


def price_of(raw: bytes, prices: Prices, editions: Editions) -> int:
    """The price of evaluating a description, 1 or more; of what is none, that of finding this out. Raises nothing."""
    document = _read(raw)
    counts = counted(document, len(raw))
    once = float(sum(getattr(counts, one.name) * getattr(prices, one.name) for one in fields(counts)))
    return max(1, round(once * _editions(document, editions)))


def demand_affordable(raw: bytes, prices: Prices, editions: Editions, most: int) -> int:
    """The price of a description. Raises: TooMuch, if it is above `most`; says what there is too much of."""
    price = price_of(raw, prices, editions)
    if price > most:
        counts = counted(_read(raw), len(raw))
        name = max(_WAYS_OUT, key=lambda one: getattr(counts, one) * getattr(prices, one))
        pointer, words = _WAYS_OUT[name]
        way_out = (
            f"this comes to a price of {price:,} and may come to {most:,}; split it so that there are fewer {words} in each description"
        )
        raise TooMuch((Fault(pointer, way_out),))
    return price


def price_of_calculation(raw: bytes, prices: Prices) -> int:
    """The price of a calculation, 1 or more: what it is asked lists networks, which are solved. Raises nothing.

    >>> price_of_calculation(b'{"loads": [1, 2]}', Prices())
    1
    """
    size = max(1.0, _listed(_read(raw)) / _IN_A_NETWORK)
    return max(1, round(prices.calculation * size * size + prices.kilobyte * len(raw) / _KB))


def counted(document: Any, size: int) -> Counts:
    """What a description of so many bytes has of each thing, read from JSON.

    Whatever is not as the schema wants it counts as nothing: reading it will refuse it.

    >>> counted({"items": [{"kind": "tap"}, {"kind": "bath", "bonds": [{}]}]}, 60).length
    2.0
    """
    every = list(_services(document))
    rooms = _list(document, "locations")
    there = [*_list(document, "items"), *(item for room in rooms for item in _list(room, "items"))]
    proofs = [*there, *(one for _, _, held in every for one in held)]
    return Counts(
        kilobyte=size / _KB,
        # Which earthing each length is on is found once for every further earthing.
        length=float(len(there) + sum(lengths for _, lengths, _ in every)) * (1 + len(_list(document, "earthings"))),
        bond=_total(proofs, "bonds"),
        reading=_total(proofs, "measurements"),
        room=float(len(rooms)),
        circuit=_total(rooms, "circuits"),
        shown=_shown(rooms, every),
    )


def _read(raw: bytes) -> Any:
    try:
        return orjson.loads(raw)
    except orjson.JSONDecodeError:
        return None


def _editions(document: Any, editions: Editions) -> int:
    work = document.get("work") if isinstance(document, dict) else None
    if isinstance(work, dict) and not document.get("rule_pack"):
        with suppress(ValueError):
            return max(1, editions(date.fromisoformat(str(work.get("designed_on") or work.get("inspected_on")))))
    return 1


def _services(document: Any) -> Iterator[tuple[Any, int, list[Any]]]:
    """Each service with how many lengths it makes and what holds its bonds and readings."""
    for service in _list(document, "services"):
        if isinstance(service, dict):
            yield service, 2 + (service.get("hidden") != "no"), [service]
    for service in _list(document, "detailed_services"):
        sections = list(_list(service, "sections"))
        sections += [one for section in sections for branch in _list(section, "branches") for one in _list(branch, "sections")]
        if isinstance(service, dict):
            yield service, len(sections), sections


def _shown(rooms: list[Any], services: list[tuple[Any, int, list[Any]]]) -> float:
    """How many lengths rooms show: items, and those of each service that a room names, by its id or as one of a kind."""
    by_name: Counter[tuple[str, Any]] = Counter()
    for service, lengths, _ in services:
        for key in ("id", "kind"):
            if isinstance(service.get(key), str):
                by_name[key, service[key]] += lengths
    shown = _total(rooms, "items")
    for one in (one for room in rooms for one in _list(room, "services") if isinstance(one, dict)):
        key = "id" if isinstance(one.get("service"), str) else "kind"
        name = one.get("service" if key == "id" else "kind")
        shown += by_name[key, name] if isinstance(name, str) else 0
    return shown


def _listed(value: Any) -> int:
    """How many entries the lists in `value` have, one in another too."""
    match value:
        case dict():
            return sum(_listed(one) for one in value.values())
        case list():
            return len(value) + sum(_listed(one) for one in value)
    return 0


def _total(holders: list[Any], name: str) -> float:
    return float(sum(len(_list(holder, name)) for holder in holders))


def _list(value: Any, name: str) -> list[Any]:
    found = value.get(name) if isinstance(value, dict) else None
    return found if isinstance(found, list) else []
