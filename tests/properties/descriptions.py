"""Random descriptions of whole installations, as JSON-able dicts: mostly plausible, mostly known. Of each way to draw there is one."""

from collections.abc import Callable, Mapping
from functools import cache, partial
from typing import Any, TypeAlias

from hypothesis import strategies as st
from tests.described import terms
from tests.rules.revisions import newest

from bondwright.installation.terms import Thing, ToldFact

Said: TypeAlias = dict[str, Any]
"""A description, or a piece of one, as a caller writes it."""

NEWEST = "bs7671-2018-a4"
GENERAL = ("bath_or_shower", "ordinary_room")
"""Kinds of location that any house may have."""
_METALS = ("copper", "steel", "lead")
_EVERYTHING = (*_METALS, *_METALS, "plastic", "plastic", "multilayer", "unknown")
_READINGS = ("0.4 ohm", "150 ohm", "6.7 kohm", "12 kohm", "12 kohm", "22 kohm", "40 kohm", ">999 Mohm", "unknown")
_READ = ("0.02 ohm", "0.3 ohm", "2 ohm", "900 ohm", "1.7 kohm", "40 kohm", ">999 Mohm")
_SIZES: tuple[float | str, ...] = (4, 6, 10, 16, 25, "7/.029", "7/.044", "unknown")


def mostly(*words: object) -> st.SearchStrategy[Any]:
    """One of `words`, now and then `unknown`."""
    return st.sampled_from((*words, *words, *words, "unknown"))


yes_no = mostly("yes", "no")


def unless_unknown(things: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A list that the description may also leave unknown."""
    return st.one_of(things, things, st.just("unknown"))


bonds: st.SearchStrategy[Said] = st.fixed_dictionaries(
    {
        "connected_to": mostly("main_earthing_terminal", "main_earthing_terminal", "consumer_unit_earth_bar", "other_metalwork", "nothing"),
        "size": st.sampled_from(_SIZES),
        "material": mostly("copper", "copper", "aluminium"),
        "length_m": mostly(3, 12, 40),
        "continuity": mostly("0.02 ohm", "0.02 ohm", "0.08 ohm", "4 ohm", ">20 Mohm"),
        "continuity_parted": yes_no,
        "joint": mostly("sound", "sound", "loose"),
        "accessible": yes_no,
        "labelled": yes_no,
        "from_meter_m": mostly(0.3, 0.6, 2),
        "before_first_branch": yes_no,
        "closer_place_practicable": yes_no,
    }
)
"""A bond on a piece of metalwork."""

_taken_well = st.fixed_dictionaries(
    {
        "reading": st.sampled_from(_READINGS),
        "to": st.just("earthing_conductor"),
        "own_bond": st.sampled_from(("none", "parted")),
        "protective_conductors": st.sampled_from(("none", "parted", "on")),
        "pipe_filled": st.just("yes"),
        "surroundings_wet": st.just("yes"),
    }
)
_taken_anyhow = st.fixed_dictionaries(
    {
        "reading": st.sampled_from(_READINGS),
        "to": mostly("earthing_conductor", "main_earthing_terminal_earthed", "main_earthing_terminal_not_earthed"),
        "own_bond": mostly("none", "parted", "on"),
        "protective_conductors": mostly("none", "parted", "on"),
        "pipe_filled": yes_no,
        "surroundings_wet": yes_no,
    }
)
measurements: st.SearchStrategy[Said] = st.one_of(_taken_well, _taken_anyhow)
"""A reading on a piece of metalwork."""

_INDOOR_ITEMS = ("radiator", "towel_rail", "structural_steel", "telecom_sheath", "equipment_case", "window_frame")
OUTDOOR_ITEMS = ("gate", "balcony", "cladding", "other")
"""Kinds of item of which nobody can tell where they stand unless it is said."""
_agreed = st.sampled_from(("unknown", "unknown", "no", "yes"))
_kinds = st.sampled_from(("water", "water", "gas", "gas", "heating", "oil", "drain", "district_heating", "duct"))
_origins = mostly(
    "ground",
    "ground",
    "above_ground",
    "neighbour",
    "communal_riser",
    "outbuilding",
    "separate_source",
    "inside_only",
    "own_equipment_outdoors",
)
_materials = st.sampled_from(_EVERYTHING)
_joints = mostly("continuous", "soldered", "compression", "plastic_push_fit", "insulating_joint")
_position: Said = {"stands": st.sampled_from(("inside", "inside", "both", "outside", "outside", "unknown"))}
_surroundings = mostly("soil", "ground_bearing_floor", "timber_floor", "free_air", "free_air", "dry_boxing")
_frame = {
    "kind": _kinds,
    "comes_from": _origins,
    "far_end_earthing": mostly("same", "same_network", "additional_electrode", "different", "separate"),
    "meter": st.fixed_dictionaries({"position": mostly("inside", "outside", "none"), "body": mostly("metal", "plastic")}),
    "protective_conductor": yes_no,
    "joined_to": unless_unknown(st.lists(_kinds, max_size=2)),
    "left_out_by_agreement": _agreed,
}


def values_told(fact: ToldFact) -> st.SearchStrategy[Any]:
    """What may be told of a fact: each word; both ends of its range, and between; readings on both sides of most limits; `unknown`."""
    numbers: tuple[float | str, ...] = (fact.lowest, fact.highest, (fact.lowest + fact.highest) / 2) if fact.unit else ()
    return mostly(*fact.words, *(_READ if fact.unit == "ohm" else numbers))


def with_told(things: st.SearchStrategy[Said], facts: Mapping[str, ToldFact]) -> st.SearchStrategy[Said]:
    """The same things with some of the facts told of each; as they are where there are none."""
    if not facts:
        return things
    told = st.fixed_dictionaries({}, optional={name: values_told(fact) for name, fact in facts.items()})
    return st.builds(lambda one, said: {**one, "told": said}, things, told)


def told_in(kind: str, thing: Thing) -> Mapping[str, ToldFact]:
    """The facts that the newest pack asks of such a thing in a location of that kind."""
    asked = newest(NEWEST).facts
    return {name: fact for name, fact in terms().facts(thing).items() if name in asked and kind in asked[name].only_in}


def special_kinds() -> tuple[str, ...]:
    """The special locations that the newest pack judges."""
    judged = (kind.name for kind in newest(NEWEST).kinds.rows["location"].values() if kind.judged)
    return tuple(kind for kind in judged if kind not in GENERAL)


def kinds_of_items() -> tuple[str, ...]:
    """The kinds of item that the newest pack judges."""
    return tuple(kind.name for kind in newest(NEWEST).kinds.rows["item"].values() if kind.judged)


def _some(things: st.SearchStrategy[Said], wanted: bool = True) -> st.SearchStrategy[list[Said]]:
    """None, one or two of them; none at all where they are not wanted."""
    return st.one_of(st.just([]), st.lists(things, max_size=2)) if wanted else st.just([])


def _on(things: st.SearchStrategy[Said]) -> st.SearchStrategy[Said]:
    return st.builds(lambda thing, on: {**thing, "on": on}, things, st.sampled_from(("entering_pipe", "inside_pipe", "beyond_hidden")))


@cache
def services(readings: bool = True) -> st.SearchStrategy[Said]:
    """A service in the short form; what is found lies on lengths that are there."""
    section = st.fixed_dictionaries(
        {
            "length_m": mostly(0.15, 3, 20),
            "bore_mm": mostly(10, 20),
            "conductivity_us_per_cm": st.sampled_from((100, 700, "unknown")),
        }
    )
    whole = st.fixed_dictionaries(
        {
            **_frame,
            "enters_as": _materials,
            "insulating_section": st.one_of(st.sampled_from(("none", "none", "unknown")), section),
            "joined_by": _joints,
            "inside": st.one_of(_materials, _materials, st.just("nothing")),
            "hidden": mostly("yes", "no"),
            "hidden_in": _surroundings,
            "hidden_as": _materials,
            "touchable_with_building": yes_no,
            "bonds": unless_unknown(_some(_on(bonds))),
            "measurements": _some(_on(measurements), readings),
        },
        optional={f"{length}_stands": _position["stands"] for length in ("entering_pipe", "inside_pipe", "beyond_hidden")},
    )
    return whole.map(_with_only_what_is_there)


def _ruled_out(service: Said) -> set[str]:
    """The lengths that a service in the plain form says are not there."""
    if service["inside"] == "nothing":
        return {"inside_pipe", "beyond_hidden"}
    return {"beyond_hidden"} if service["hidden"] == "no" else set()


def _with_only_what_is_there(service: Said) -> Said:
    """The service, bonds and readings moved to the entering pipe from lengths that it rules out."""
    absent = _ruled_out(service)

    def moved(things: Any) -> Any:
        if isinstance(things, str):
            return things
        return [{**thing, "on": "entering_pipe"} if thing["on"] in absent else thing for thing in things]

    there = {key: value for key, value in service.items() if key.removesuffix("_stands") not in absent}
    return {**there, "bonds": moved(service["bonds"]), "measurements": moved(service["measurements"])}


@cache
def sections(readings: bool = True) -> st.SearchStrategy[Said]:
    """One length of a service in the detailed form."""
    return st.fixed_dictionaries(
        {
            "material": _materials,
            "joint_before": _joints,
            "traced": mostly("yes", "yes", "no"),
            "surroundings": _surroundings,
            "length_m": mostly(0.15, 3, 20),
            "bore_mm": mostly(10, 20),
            "touchable_with_building": yes_no,
            "bonds": unless_unknown(_some(bonds)),
            "measurements": _some(measurements, readings),
        },
        optional=_position,
    )


@cache
def detailed_services(readings: bool = True) -> st.SearchStrategy[Said]:
    """A service in the detailed form, now and then with a branch."""
    lengths = sections(readings)
    branch = st.fixed_dictionaries({"sections": st.lists(lengths, min_size=1, max_size=2)})
    main = st.builds(lambda length, branches: {**length, "branches": branches}, lengths, st.lists(branch, max_size=1))
    return st.fixed_dictionaries({**_frame, "sections": st.lists(main, min_size=1, max_size=3)})


@cache
def items(readings: bool = True, kinds: tuple[str, ...] = _INDOOR_ITEMS + OUTDOOR_ITEMS) -> st.SearchStrategy[Said]:
    """A piece of metalwork that is not a service, one of those kinds."""
    return st.fixed_dictionaries(
        {
            "kind": st.sampled_from(kinds),
            "count": st.sampled_from((1, 1, 10)),
            "material": st.sampled_from(("steel", "steel", "aluminium", "plastic", "unknown")),
            "fed_by": mostly("plastic", "metal", "nothing"),
            "touches": mostly("nothing_earthy", "nothing_earthy", "soil", "concrete_or_masonry", "structural_steel", "another_building"),
            "protected_as": mostly("ordinary", "selv"),
            "owner_consent": mostly("given", "refused", "not_asked"),
            "touchable_with_building": yes_no,
            "left_out_by_agreement": _agreed,
            "bonds": unless_unknown(_some(bonds)),
            "measurements": _some(measurements, readings),
        },
        optional=_position,
    )


_shown = st.sampled_from(
    ({}, {}, {"length": "unknown"}, {"length": "entering_pipe"}, {"length": "inside_pipe"}, {"length": "beyond_hidden"})
)


@cache
def _in_room(readings: bool) -> st.SearchStrategy[Said]:
    """What a room says of metal in it; a reading is mostly one that shows a path, if any is taken."""
    taken = st.fixed_dictionaries(
        {
            "reading": mostly("0.2 ohm", "0.9 ohm", "1.1 ohm", "900 ohm", "<1 ohm", "1.8 kohm") if readings else st.just("unknown"),
            "to": mostly("main_earthing_terminal", "main_earthing_terminal", "bonded_pipe", "circuit_protective_conductor"),
            "protective_conductors": mostly("none", "parted", "parted", "on", "cannot_be_parted"),
            "isolated": mostly("yes", "yes", "no"),
        }
    )
    return st.fixed_dictionaries({"accessible": yes_no, "continuous_with_bonded_pipe": mostly("yes", "no", "no"), "connection": taken})


@cache
def locations(readings: bool = True) -> st.SearchStrategy[Said]:
    """A location, mostly one with a bath or shower; now and then a special one that the newest pack judges, with what it asks there."""
    general = st.sampled_from(("bath_or_shower", "bath_or_shower", "ordinary_room")).flatmap(lambda kind: location_of(kind, readings))
    special = special_kinds()
    return st.one_of(general, general, st.sampled_from(special).flatmap(lambda kind: location_of(kind, readings))) if special else general


@cache
def location_of(kind: str, readings: bool = True) -> st.SearchStrategy[Said]:
    """A location of that kind, with some of what the newest pack asks there."""
    circuit = st.fixed_dictionaries(
        {
            "measure": mostly("automatic_disconnection", "automatic_disconnection", "selv", "pelv"),
            "disconnection_met": mostly("yes", "yes", "no"),
            "rcd": mostly("30_mA_or_less", "30_mA_or_less", "none"),
            "rcd_tested": mostly("yes", "yes", "no"),
            "device": st.fixed_dictionaries({"type": mostly("B", "C", "other"), "rated_a": mostly(6, 32)}),
            "cpc": st.sampled_from((1.5, 2.5, 6, 10, "unknown")),
        }
    )
    circuit = with_told(circuit, told_in(kind, "circuit"))
    metal = items(readings) if kind in GENERAL else st.one_of(items(readings), items(readings, kinds_of_items()))
    here = st.builds(lambda item, said: {**item, **said}, with_told(metal, told_in(kind, "item")), _in_room(readings))
    shown = st.builds(lambda kind, length, said: {"kind": kind, **length, **said}, _kinds, _shown, _in_room(readings))
    plain = st.fixed_dictionaries(
        {
            "kind": st.just(kind),
            "supplementary_bonding": st.fixed_dictionaries(
                {"present": yes_no, "resistance": st.sampled_from(("0.05 ohm", "1.2 ohm", "2 kohm", "unknown"))}
            ),
            "services": unless_unknown(st.lists(with_told(shown, told_in(kind, "service")), max_size=2)),
            "items": unless_unknown(_some(here)),
            "circuits": unless_unknown(st.lists(circuit, max_size=3)),
            "bonding_protected": yes_no,
        }
    )
    return with_told(plain, told_in(kind, "location"))


_conductor = st.fixed_dictionaries({"size": mostly(16, 25, 35, 70, 120), "material": mostly("copper", "copper", "aluminium")})
_further = st.fixed_dictionaries({"pme_conditions": mostly("apply", "do_not_apply"), "neutral": _conductor})
_feeders = st.fixed_dictionaries(
    {
        "comes_from": mostly("landlords_installation", "another_building"),
        "earth": mostly("carried_over", "own_electrode", "own_electrode", "not_used"),
        "electrode": mostly("only_earth", "additional"),
        "shown_by_test": yes_no,
        "carries_fault_current": yes_no,
        "protective_conductors": unless_unknown(st.lists(_conductor, max_size=2)),
    }
)


def _with_an_electrode_that_fits(feeder: Said) -> Said:
    """The feeding circuit, with a role of the electrode only where an electrode may be the earth."""
    return feeder if feeder["earth"] in ("own_electrode", "unknown") else {**feeder, "electrode": "unknown"}


_feeder = _feeders.map(_with_an_electrode_that_fits)
_buried = {
    "buried": yes_no,
    "protected_against_corrosion": yes_no,
    "protected_mechanically": yes_no,
    "runs_separately": yes_no,
    "separate_length_protected": yes_no,
}
_earthing_conductor = st.one_of(
    st.fixed_dictionaries({**_buried, "calculated_mm2": mostly(2.2, 9, 17)}),
    st.fixed_dictionaries({**_buried, "fault_current_a": mostly(400, 2400), "disconnection_time_s": mostly(0.4, 5), "k": mostly(115, 143)}),
)
supplies: st.SearchStrategy[Said] = st.fixed_dictionaries(
    {
        "earthing_system": mostly("TN-S", "TN-C-S", "TT"),
        "pme_conditions": mostly("apply", "do_not_apply"),
        "phases": mostly("single", "three"),
        "cut_out_rating_a": mostly(60, 100, 200),
        "neutral": _conductor,
        "line_conductor": _conductor,
        "earthing_conductor": _earthing_conductor,
        "further_supplies": st.one_of(st.just([]), st.just([]), st.lists(_further, min_size=1, max_size=2)),
    },
    optional={"feeder": _feeder},
)
"""A supply."""


EARTHINGS = ("rod", "generator")
"""Names of further earthings."""
_tie = st.fixed_dictionaries(
    {"kind": mostly("armour", "protective_conductor", "pipe"), "parted": yes_no, "carries_fault_current": yes_no},
)
_earthing = st.fixed_dictionaries(
    {
        "rests_on": mostly("electrode", "electrode", "own_source"),
        "all_named": mostly("yes", "yes", "no"),
        "ties": unless_unknown(_some(_tie)),
        "touchable_with_other": mostly("no", "no", "yes"),
        "electrode_resistance": st.sampled_from(("20 ohm", "60 ohm", "390 ohm", "2 kohm", "unknown")),
        "rcd_rating_ma": mostly(30, 100, 300),
        "rcd_tested": mostly("yes", "yes", "no"),
    }
)
_further_earthings = st.one_of(st.just([]), st.just([]), st.lists(_earthing, min_size=1, max_size=len(EARTHINGS)))
_earthings_named = st.lists(st.sampled_from(("supply", *EARTHINGS, "more_than_one", "unknown", "")), min_size=6, max_size=6)


def with_earthings(said: Said, earthings: list[Said], named: list[str]) -> Said:
    """The description with those further earthings, and its things naming one after the other of them; an empty name is left out."""
    if not earthings:
        return said
    described = [{"id": name, **earthing} for name, earthing in zip(EARTHINGS, earthings, strict=False)]
    there = {"supply", "unknown", *(one["id"] for one in described)}
    of_metal = {*there, "more_than_one"} if _metal_may_run_between(described) else there
    names = iter(named * 20)

    def on(thing: Said, allowed: set[str] = there) -> Said:
        name = next(names)
        return {**thing, "earthing": name} if name in allowed else thing

    def metal(thing: Said) -> Said:
        return on(thing, of_metal)

    def place(location: Said) -> Said:
        found = on(location)
        if isinstance(items := location["items"], list):
            found = {**found, "items": [metal(item) for item in items]}
        if found.get("earthing", "unknown") != "unknown" or isinstance(location["circuits"], str):
            return found
        return {**found, "circuits": [on(circuit) for circuit in location["circuits"]]}

    metalwork = {kind: [metal(thing) for thing in said[kind]] for kind in ("services", "detailed_services", "items")}
    return {**said, **metalwork, "earthings": described, "locations": [place(location) for location in said["locations"]]}


def _metal_may_run_between(earthings: list[Said]) -> bool:
    """Whether the ties of those earthings leave metal that runs from one earthing to another."""
    ties = earthings[0]["ties"]
    return len(earthings) > 1 or ties == "unknown" or any(tie["parted"] != "yes" and tie["kind"] in ("pipe", "unknown") for tie in ties)


@cache
def installations(readings: bool = True, rooms: int = 1, detailed: int = 1) -> st.SearchStrategy[Said]:
    """A whole description; `rooms` and `detailed`: how many rooms and services in the detailed form at most."""
    whole = st.fixed_dictionaries(
        {
            "work": st.sampled_from(
                (
                    {"kind": "inspection", "inspected_on": "2026-11-25"},
                    {"kind": "alteration", "designed_on": "2026-11-25"},
                    {"kind": "new_installation", "designed_on": "2026-11-25"},
                )
            ),
            "premises": mostly("house", "flat", "outbuilding"),
            "supply": supplies,
            "touch_current": st.sampled_from(("10_mA", "30_mA", "30_mA", "not_chosen")),
            "touch_current_reason": yes_no,
            "survey_complete": mostly("yes", "yes", "no"),
            "shares_metal": mostly("yes", "yes", "yes", "yes", "no"),
            "services": st.lists(services(readings), max_size=2),
            "detailed_services": st.lists(detailed_services(readings), max_size=detailed),
            "items": st.lists(items(readings), max_size=2),
            "locations": st.lists(locations(readings), max_size=rooms),
        }
    )
    there = whole.map(with_meetings_of_what_is_there).map(_with_lengths_that_are_there).map(_in_agreement)
    return st.builds(with_earthings, there, _further_earthings, _earthings_named)


def with_meetings_of_what_is_there(said: Said) -> Said:
    """The description, each service meeting only kinds of service that are described."""
    described = {service["kind"] for service in (*said["services"], *said["detailed_services"])}

    def met(service: Said) -> Said:
        named = service["joined_to"]
        return service if isinstance(named, str) else {**service, "joined_to": [kind for kind in named if kind in described]}

    return {**said, **{form: [met(service) for service in said[form]] for form in ("services", "detailed_services")}}


def _with_lengths_that_are_there(said: Said) -> Said:
    """The description, no room naming a length that a service of the kind rules out."""

    def shown(service: Said) -> Said:
        absent = {length for one in said["services"] if one["kind"] == service["kind"] for length in _ruled_out(one)}
        return {key: value for key, value in service.items() if key != "length" or value not in absent}

    def place(location: Said) -> Said:
        there = location["services"]
        return location if isinstance(there, str) else {**location, "services": [shown(service) for service in there]}

    return {**said, "locations": [place(location) for location in said["locations"]]}


_SHARED = ("neighbour", "communal_riser", "outbuilding")
"""Where metal comes from that reaches another installation."""
_DRY = ("timber_floor", "free_air", "dry_boxing")
_PARTS = ("plastic_push_fit", "insulating_joint")
"""Joints past which no metal goes on."""
_SIDES = (("0.4 ohm", "150 ohm", "6.7 kohm"), ("12 kohm",), ("22 kohm", "40 kohm", ">999 Mohm"))
"""Readings that no limit parts: those below each, those between, those above each."""


def _in_agreement(said: Said) -> Said:
    """The description, its parts agreeing: metal that reaches another installation is shared, and readings fit each other and their metal.

    A low reading on metal that nothing earthy reaches, as described, has a protective conductor on, for nothing else could bring it about.
    """
    services, detailed = said["services"], said["detailed_services"]
    reaches = any(one["comes_from"] in _SHARED for one in (*services, *detailed))
    reaches = reaches or any(one["touches"] == "another_building" for one in said["items"])
    return {
        **said,
        "shares_metal": "yes" if reaches and said["shares_metal"] == "no" else said["shares_metal"],
        "services": [{**one, "measurements": _fitting(one["measurements"], partial(_earthy, one))} for one in services],
        "detailed_services": [{**one, "sections": _with_fitting(one["sections"], one, True)} for one in detailed],
        "items": [{**one, "measurements": _fitting(one["measurements"], partial(_touches, one))} for one in said["items"]],
        "locations": [_with_items_in_agreement(one) for one in said["locations"]],
    }


def _with_items_in_agreement(location: Said) -> Said:
    if isinstance(location["items"], str):
        return location
    items = [{**one, "measurements": _fitting(one["measurements"], partial(_touches, one))} for one in location["items"]]
    return {**location, "items": items}


def _with_fitting(sections: list[Said], service: Said, reached: bool) -> list[Said]:
    """The lengths of a service in the detailed form, with readings that fit; `reached`: does metal lead up to them from outside."""
    found = []
    for number, one in enumerate(sections):
        outside = reached and (number > 0 or service["comes_from"] in ("ground", *_SHARED))
        parted = number > 0 and one["joint_before"] in _PARTS
        reached = one["material"] != "plastic" and ((outside and not parted) or one["surroundings"] not in _DRY)
        taken = _fitting(one["measurements"], partial(_reaches, reached))
        branches = [{**branch, "sections": _with_fitting(branch["sections"], service, reached)} for branch in one.get("branches", ())]
        found.append({**one, "measurements": taken, **({"branches": branches} if "branches" in one else {})})
    return found


def _touches(item: Said, _: str = "") -> bool:
    """Whether an item can be earthy by what it touches."""
    return item["touches"] in ("soil", "concrete_or_masonry", "another_building", "unknown") and item["material"] != "plastic"


def _reaches(reached: bool, _: str) -> bool:
    return reached


def _earthy(service: Said, on: str) -> bool:
    """Whether a length of a service in the short form can be earthy, as described."""
    comes_in = service["comes_from"] in ("ground", "unknown", *_SHARED) and service["enters_as"] != "plastic"
    if on == "entering_pipe":
        return comes_in
    inside = service["inside"] != "plastic"
    hidden = service["hidden"] != "no" and service["hidden_in"] not in _DRY and service["hidden_as"] != "plastic"
    passes = service["joined_by"] not in _PARTS and service["insulating_section"] == "none"
    return inside and (hidden or (comes_in and passes))


def _fitting(taken: list[Said], earthy: Callable[[str], bool]) -> list[Said]:
    """The readings on one thing, none on another side of the limits than the first; `earthy`: can the length that one is on be so."""
    first = next((side for side in _SIDES if taken and taken[0]["reading"] in side), None)
    found = []
    for one in taken:
        if first is not None and one["reading"] != "unknown" and one["reading"] not in first:
            one = {**one, "reading": taken[0]["reading"]}
        low = one["reading"] not in ("unknown", *_SIDES[-1])
        found.append({**one, "protective_conductors": "on"} if low and not earthy(one.get("on", "")) else one)
    return found
