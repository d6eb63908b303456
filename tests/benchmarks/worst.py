"""The worst legal descriptions of each shape, in growing sizes: all that multiplies with all else, in as few bytes as it can be told.

Invented buildings. A size counts what the shape is named after; `MOST` says where the limits of a description end it.
"""

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

Said: TypeAlias = dict[str, Any]
Shape: TypeAlias = Callable[[int], Said]

_SUPPLY: Final[Said] = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
_INSPECTION: Final[Said] = {"kind": "inspection", "inspected_on": "2026-11-25"}
_METALS: Final = ("copper", "unknown", "steel", "unknown")
_BOND: Final[Said] = {"connected_to": "main_earthing_terminal", "size": 10}
_READING: Final[Said] = {"reading": "150 kohm"}
_IN_ROOM: Final[Said] = {"accessible": "yes"}
_CASE: Final[Said] = {"kind": "equipment_case", "accessible": "yes"}
_RUN, _BRANCHES = 30, 10


def _described(**things: Any) -> Said:
    return {"work": _INSPECTION, "supply": _SUPPLY, **things}


def _sections(how_many: int, told: Callable[[int], Said]) -> list[Said]:
    """So many lengths of one service: a main run, and branches at its sections."""
    main = [dict(told(number)) for number in range(min(how_many, _RUN))]
    left = range(len(main), how_many)
    for number in left:
        branches = main[(number - _RUN) // _RUN % len(main)].setdefault("branches", [])
        if (number - _RUN) % _RUN == 0:
            branches.append({"sections": []})
        branches[-1]["sections"].append(dict(told(number)))
    return main


def _piped(how_many: int, told: Callable[[int], Said], a_service: int = 300) -> list[Said]:
    """So many lengths, in as few services as can be."""
    return [
        {"kind": "water", "comes_from": "ground", "sections": _sections(min(a_service, how_many - first), told)}
        for first in range(0, how_many, a_service)
    ]


def _apart(number: int) -> Said:
    """A length that was traced, joined in a way that nobody knows: a part of its own."""
    return {"material": _METALS[number % 4], "traced": "yes"}


_WHOLE: Final[Said] = {"material": "copper", "traced": "yes", "joint_before": "soldered"}
"""A length that is one piece with the one before it."""


def lengths(size: int) -> Said:
    """One service in so many lengths, of which nobody knows how they are joined."""
    return _described(detailed_services=_piped(size, _apart))


def one_piece(size: int) -> Said:
    """One service in so many lengths that are one part."""
    return _described(detailed_services=_piped(size, lambda _: _WHOLE))


def services(size: int) -> Said:
    """So many services of which next to nothing is known: each may meet each."""
    kinds = ("water", "gas", "oil", "heating")
    short = [{"kind": kinds[number % 4]} for number in range(0, size, 2)]
    detailed = [{"kind": kinds[number % 4], "sections": [{"traced": "yes"}]} for number in range(1, size, 2)]
    return _described(services=short, detailed_services=detailed)


def items(size: int) -> Said:
    """So many pieces of metalwork beside ten services, each of which may feed each."""
    kinds = ("radiator", "structural_steel", "tank", "cable_tray")
    pipes = [{"kind": "heating"} for _ in range(10)]
    return _described(services=pipes, items=[{"kind": kinds[number % 4]} for number in range(size)])


def steel(size: int) -> Said:
    """So many pieces of steel, of which each may touch each."""
    loose = min(size, 100)
    in_rooms = [
        {"kind": "bath_or_shower", "services": [], "items": [{"kind": "structural_steel"}] * min(50, size - first)}
        for first in range(loose, size, 50)
    ]
    return _described(items=[{"kind": "structural_steel"}] * loose, locations=in_rooms)


def served(size: int) -> Said:
    """A hundred services of which next to nothing is known, and so many radiators that each may feed."""
    return {**services(100), "items": [{"kind": "radiator", "fed_by": "metal"}] * size}


def rooms(size: int) -> Said:
    """So many bathrooms with three pieces of metalwork and two circuits each, beside two services."""
    pipes = [{"id": kind, "kind": kind, "enters_as": "copper", "inside": "copper", "comes_from": "ground"} for kind in ("water", "gas")]
    things = [{"kind": "towel_rail", **_IN_ROOM}, {"kind": "radiator"}, _CASE]
    room = {"kind": "bath_or_shower", "services": [{"kind": "water"}], "items": things, "circuits": [{}, {}]}
    return _described(services=pipes, locations=[room] * size)


def touched(size: int) -> Said:
    """Twenty rooms, in each of which so many lengths of a service show."""
    room = {"kind": "bath_or_shower", "services": [{"kind": "water"}], "items": [], "circuits": [{}]}
    return _described(detailed_services=_piped(size, _apart), locations=[room] * 20)


def rooms_touched(size: int) -> Said:
    """So many rooms, in each of which two hundred lengths of a service show."""
    return {**touched(200), "locations": touched(1)["locations"][:1] * size}


def circuits(size: int) -> Said:
    """Fifty rooms with so many circuits of which nothing is known."""
    room = {"kind": "bath_or_shower", "services": [{"kind": "water"}], "items": [_CASE], "circuits": [{}] * size}
    return _described(services=[{"kind": "water", "comes_from": "ground"}], locations=[room] * 50)


def cases(size: int) -> Said:
    """Four rooms with so many cases of equipment that can be touched together."""
    room = {"kind": "bath_or_shower", "services": [], "items": [_CASE] * size, "circuits": [{}]}
    return _described(services=[{"kind": "water", "comes_from": "ground"}], locations=[room] * 4)


def bonds(size: int) -> Said:
    """So many bonds, twenty to a length, of which no two were found alike."""
    return _described(detailed_services=_piped(-(-size // 20), lambda number: {**_apart(number), "bonds": _bonds(number, size)}))


def _bonds(length: int, size: int) -> list[Said]:
    return [{**_BOND, "length_m": 1 + number / 100} for number in range(length * 20, min(length * 20 + 20, size))]


def sizes(size: int) -> Said:
    """So many bonds, no two of one size, where nobody knows which size is asked for."""

    def told(number: int) -> Said:
        here = range(number * 20, min(number * 20 + 20, size))
        return {**_apart(number), "bonds": [{"connected_to": "main_earthing_terminal", "size": 4 + one / 1000} for one in here]}

    return {**_described(detailed_services=_piped(-(-size // 20), told)), "supply": {}}


def readings(size: int) -> Said:
    """So many readings, twenty to a length."""

    def told(number: int) -> Said:
        here = range(number * 20, min(number * 20 + 20, size))
        return {**_apart(number), "measurements": [{"reading": f"{100000 + taken} ohm"} for taken in here]}

    return _described(detailed_services=_piped(-(-size // 20), told))


def readings_of_one(size: int) -> Said:
    """So many readings on one part."""

    def told(number: int) -> Said:
        here = range(number * 20, min(number * 20 + 20, size))
        return {**_WHOLE, "measurements": [{"reading": f"{100000 + taken} ohm"} for taken in here]}

    return _described(detailed_services=_piped(-(-size // 20), told))


def plastic(size: int) -> Said:
    """So many bonds and readings on one length of plastic, told of section by section."""
    here: Said = {"bonds": [{}] * 20, "measurements": [{}] * 20}
    return _described(detailed_services=_piped(-(-size // 40), lambda _: {"material": "plastic", **here}, 9000))


def mixed(size: int) -> Said:
    """A building of so many floors: on each a riser in four lengths, a bath with what belongs to it, steel, bonds and readings."""
    pipes = [
        {
            "id": f"riser-{floor}",
            "kind": ("water", "gas", "heating")[floor % 3],
            "comes_from": "communal_riser",
            "sections": [
                {**_apart(0), "bonds": [_BOND] * 4, "measurements": [_READING] * 2},
                {**_WHOLE, "stands": "inside"},
                {"material": "unknown"},
                _apart(1),
            ],
        }
        for floor in range(size)
    ]
    rooms = [
        {
            "kind": "bath_or_shower",
            "services": [{"kind": pipe["kind"], "service": pipe["id"]}],
            "items": [{"kind": "towel_rail"}, {"kind": "bath", "material": "steel"}, _CASE],
            "circuits": [{"rcd": "30_mA_or_less"}, {"disconnection_met": "yes"}, {}],
        }
        for pipe in pipes
    ]
    steel = [{"kind": "structural_steel", "touches": "soil"} for _ in range(size)]
    return _described(detailed_services=pipes, items=steel, locations=rooms)


SHAPES: Final[Mapping[str, Shape]] = {
    one.__name__: one
    for one in (
        lengths,
        one_piece,
        services,
        items,
        steel,
        served,
        rooms,
        touched,
        rooms_touched,
        circuits,
        cases,
        bonds,
        sizes,
        readings,
        readings_of_one,
        plastic,
        mixed,
    )
}

MOST: Final[Mapping[str, int]] = {
    "lengths": 398,
    "one_piece": 398,
    "services": 100,
    "items": 100,
    "steel": 400,
    "served": 100,
    "rooms": 50,
    "touched": 398,
    "rooms_touched": 50,
    "circuits": 50,
    "cases": 50,
    "bonds": 7960,
    "sizes": 7960,
    "readings": 7960,
    "readings_of_one": 7960,
    "plastic": 8000,
    "mixed": 35,
}
"""The largest size of each shape: what a description may hold, or 1,000,000 bytes of it, ends it there."""
