"""What the service reads from a pack by name: a pack that lacks any of it is refused when it is to judge, with the place of the gap."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeAlias, get_args

from pydantic import BaseModel

from bondwright.installation.description import DesignedWork, InspectedWork
from bondwright.installation.proof import Measurement
from bondwright.installation.rooms import Circuit, Item
from bondwright.installation.services import Meter, ServiceFrame
from bondwright.installation.words import Jointing, Material, Origin, Surroundings
from bondwright.rulebook.facts import NO
from bondwright.rulebook.kinds import TABLES
from bondwright.rulebook.pack import NOT_JUDGED, RulePack
from bondwright.shelf.reading.nodes import Map, Node, read_nodes, refused

_Path: TypeAlias = tuple[str, ...]
"""The keys from a section of the pack to what it lacks."""


def _words(model: type[BaseModel], name: str) -> tuple[str, ...]:
    return get_args(model.model_fields[name].annotation)


_ROWS: Mapping[str, tuple[Sequence[str], Sequence[str]]] = {
    "materials": (get_args(Material), ("conducts", "touches", "words")),
    "origins": (get_args(Origin), ("ground", "other_installation", "other_earthing")),
    "far_ends": (_words(ServiceFrame, "far_end_earthing"), ("other_earthing",)),
    "surroundings": (get_args(Surroundings), ("ground", "earthy")),
    "touches": (_words(Item, "touches"), ("ground", "other_installation", "earthy")),
    "joints": (get_args(Jointing), ("conducts",)),
    "meter_bodies": (_words(Meter, "body"), ("conducts",)),
    "references": (_words(Measurement, "to"), ("proven",)),
    "paths_during_reading": (_words(Measurement, "own_bond"), ("parted",)),
    "works": ((*_words(DesignedWork, "kind"), *_words(InspectedWork, "kind")), ("relies", "new")),
    "circuit_measures": (_words(Circuit, "measure"), ("counts",)),
    "rcds": (_words(Circuit, "rcd"), ("protects",)),
    "places": (("entry", "meter", "emerges", "item", "here"), ("words",)),
    "fluids": (("none",), ("conducts",)),
    "devices": ((), ()),
    "item_kinds": (("structural_steel",), ("words", "several", "telecom", "equipment", "piped")),
    "service_kinds": ((), ("words", "fluid", "owner_before_meter", "metered")),
}
"""The tables of properties: rows that must be there, and columns that each row of the table must have."""
_LATER: Mapping[str, Sequence[str]] = {
    "origins": ("separate_source", "own_equipment_outdoors"),
    "far_ends": ("same_network", "additional_electrode", "separate"),
}
"""Rows that packs published before there were such words may lack; they take them for unknown."""
_VALUES = (
    "nominal_voltage",
    "touch_current_default",
    "touch_current_raised",
    "body_resistance",
    "reading_uncertainty",
    "continuity_allowance",
    "rcd_operating_current",
    "steel_to_copper",
)
_RESISTANCES, _OLDER_RESISTANCES = "conductor-resistance", "conductor_metals"
_FREEING, _PLAN = "acts_that_free", "plan"
_FACTS = (
    "isolation_reading",
    "isolation_limit",
    "carries_water",
    "touches_soil_or_concrete",
    "reaches_ground",
    "reaches_other_installation",
    "pme_conditions",
    "neutral_copper_equivalent",
    "line_copper_equivalent",
    "bond_size",
    "bond_size_asked",
    "bond_continuity_limit",
    "bonding_protected",
    "largest_cpc",
    "lesser_cpc",
    "operating_current",
)
_LADDERS: Mapping[str, tuple[str, Sequence[str]]] = {
    "extraneous": ("part", ()),
    "main_bonding": ("part", ()),
    "objection": ("part", ("must_not_be_connected",)),
    "bond_connection": ("bond", ("cannot_rely",)),
    "bond_compliance": ("bond", ()),
    "supplementary_bonding": ("room", ()),
}
"""Outcomes with levels: what they are about, and levels that are read by name."""
_SUPPLEMENTARY_LEVELS = 3
_SIZES: Mapping[str, str] = {
    "main_bond_size": "installation",
    "earthing_conductor_size": "installation",
    "exposed_to_exposed_size": "room",
    "exposed_to_extraneous_size": "room",
    "extraneous_to_extraneous_size": "room",
    "supplementary_resistance_limit": "room",
}
_ADVICE = ("room_nothing", "room_omit", "room_bond", "room_settle", NOT_JUDGED, "not_judged_there")
_TOGETHER: Mapping[str, Sequence[tuple[str, str]]] = {
    "reading_found": (("outcomes", "test_to_make"),),
    "additional_protection": tuple(
        ("advice", act) for act in ("room_rcd", "room_rcd_then_omit", "room_bond_and_rcd", "room_settle_and_rcd")
    ),
    "connection": (
        ("asks", "service_described"),
        *(("facts", fact) for fact in ("seen_continuous", "connection_reading", "connection_read_to", "connection_conductors")),
        ("facts", "connection_read_dead"),
        ("facts", "connection_limit"),
    ),
    "feeder_conductor": (("advice", "feeder_serves"), ("advice", "feeder_settle"), ("advice", "feeder_enlarge")),
    "feeder_separation": (
        ("advice", "feeder_ask"),
        ("advice", "feeder_show_first"),
        ("advice", "feeder_ask_conductor"),
        ("advice", "feeder_separate"),
        ("advice", "feeder_joins_both"),
        ("advice", "feeder_brings_no_earth"),
    ),
}
"""What must be there too where a pack has an outcome that it need not have."""
_ASKED_BESIDE: Mapping[str, Sequence[str]] = {
    "electrode_shown_by_test": ("feeder_electrode", "feeder_earth", "earthing_system", "shares_metal"),
    "calculated_earthing_conductor": ("fault_current_a", "disconnection_time_s", "k"),
}
"""Questions that must be there too where a pack has a fact that it need not have."""
_ASKS = (
    "material",
    "comes_from",
    "far_end_earthing",
    "joined_by",
    "joint_before",
    "meter",
    "insulating_section",
    "hidden",
    "hidden_in",
    "hidden_as",
    "traced",
    "surroundings",
    "length",
    "joined_to",
    "fed_by",
    "touches",
    "protective_conductor",
    "touch_current_reason",
    "owner_consent",
    "protected_as",
    "bond",
    "survey_complete",
    "room_metalwork",
    "room_circuits",
    NOT_JUDGED,
)


def demand_fit(pack: RulePack, text: Node | None = None) -> None:
    """Nothing, if the pack has all that judging a description reads by name; `text`: its file as it was read, if that is at hand.

    Raises: UnreadableRules, with the name of what it lacks and the place where that would stand.
    """
    for path, said in lacking(pack):
        file = next((rule.place.file for rule in pack.rules), f"published/{pack.pack_id}.yaml")
        raise refused(_nearest(text or read_nodes(pack.text, file), path).place, f"{said}, which is read by name")


def names_kinds(pack: RulePack) -> bool:
    """Whether the pack names kinds of things, so that it is made to judge descriptions."""
    return any(table in pack.properties for table in TABLES.values())


def lacking(pack: RulePack) -> Iterator[tuple[_Path, str]]:
    """What the pack lacks: the keys that lead there, and words for it."""
    yield from _lacking_rows(pack)
    yield from _lacking_numbers(pack)
    yield from _lacking_acts_and_devices(pack)
    yield from _missing("asks", _ASKS, pack.asks, "question")
    for fact, asks in _ASKED_BESIDE.items():
        yield from _missing("asks", asks if fact in pack.facts else (), pack.asks, "question")
    yield from _missing("facts", _FACTS, pack.facts, "fact")
    yield from _missing("readings", ("isolation",), pack.readings, "reading")
    yield from _missing("advice", _ADVICE, pack.advice, "act")
    yield from _lacking_outcomes(pack)
    if not pack.joints:
        yield ("joined",), "`joined` lacks a row"


def _missing(section: str, names: Sequence[str], there: Mapping[str, Any], what: str) -> Iterator[tuple[_Path, str]]:
    return (((section, name), f"`{section}` lacks the {what} `{name}`") for name in names if name not in there)


def _lacking_rows(pack: RulePack) -> Iterator[tuple[_Path, str]]:
    for table, (rows, columns) in _ROWS.items():
        if table not in pack.properties:
            yield ("properties", table), f"`properties` lacks the table `{table}`"
            continue
        found = pack.properties[table]
        yield from (
            (("properties", table, row), f"table `{table}` lacks the row `{row}`")
            for row in rows
            if row not in (*found, *_LATER.get(table, ()))
        )
        for row, cells in found.items():
            lacks = (column for column in columns if column not in cells)
            yield from ((("properties", table, row, column), f"row `{row}` of table `{table}` lacks `{column}`") for column in lacks)
    if pack.kinds.declared:
        for table in TABLES.values():
            if table not in pack.properties:
                yield ("properties", table), f"`properties` lacks the table `{table}`"


def _lacking_numbers(pack: RulePack) -> Iterator[tuple[_Path, str]]:
    yield from _missing("values", _VALUES, pack.values, "value")
    fluids = pack.properties.get("fluids", {})
    for service, cells in pack.properties.get("service_kinds", {}).items():
        if cells.get("fluid", "none") not in fluids:
            yield ("properties", "fluids"), f"table `fluids` lacks the row `{cells['fluid']}` of the service `{service}`"
    for cells in fluids.values():
        if cells.get("conducts") != NO:
            names = [cells.get(end, end) for end in ("least", "greatest")]
            yield from _missing("values", names, pack.values, "value")
    if _RESISTANCES not in pack.references and _OLDER_RESISTANCES not in pack.properties:
        yield ("references", _RESISTANCES), f"`references` lacks the table `{_RESISTANCES}`"


def _lacking_acts_and_devices(pack: RulePack) -> Iterator[tuple[_Path, str]]:
    """Tables that may be missing, and what their rows must have if they are there."""
    if (freeing := pack.properties.get(_FREEING)) is not None:
        yield from _missing("properties", (_PLAN,), freeing, f"row of the table `{_FREEING}`,")
        for row, cells in freeing.items():
            if "words" not in cells:
                yield ("properties", _FREEING, row), f"row `{row}` of table `{_FREEING}` lacks `words`"
    for device, cells in pack.properties.get("devices", {}).items():
        columns = (("multiple", pack.values), ("multiples", pack.references), ("currents", pack.references))
        named = [(column, there) for column, there in columns if column in cells]
        if not named:
            yield ("properties", "devices", device), f"row `{device}` of table `devices` lacks `multiples` or `currents`"
        for column, there in named:
            if cells[column] not in there:
                yield ("properties", "devices", device, column), f"`{cells[column]}` of the device `{device}` is not in the pack"


def _lacking_outcomes(pack: RulePack) -> Iterator[tuple[_Path, str]]:
    for name, (of, levels) in _LADDERS.items():
        outcome = pack.outcomes.get(name)
        if outcome is None or outcome.of != of or not outcome.levels:
            yield ("outcomes", name), f"`outcomes` lacks the outcome `{name}` of a {of}, with levels"
            continue
        lacks = (level for level in levels if level not in outcome.levels)
        yield from ((("outcomes", name, "levels"), f"outcome `{name}` lacks the level `{level}`") for level in lacks)
    ladder = pack.outcomes.get("supplementary_bonding")
    if ladder and len(ladder.levels) != _SUPPLEMENTARY_LEVELS:
        yield ("outcomes", ladder.name, "levels"), f"outcome `{ladder.name}` lacks one of its {_SUPPLEMENTARY_LEVELS} levels"
    for name, of in _SIZES.items():
        if name not in pack.outcomes or pack.outcomes[name].of != of or pack.outcomes[name].levels:
            yield ("outcomes", name), f"`outcomes` lacks the outcome `{name}` of a {of}, with a unit"
    spoken = {rule.outcome for rule in pack.rules}
    for name in pack.outcomes:
        if name not in spoken:
            yield ("rules",), f"`rules` lacks a rule that decides `{name}`"
    for name, others in _TOGETHER.items():
        for section, other in others if name in pack.outcomes else ():
            if other not in {"outcomes": pack.outcomes, "advice": pack.advice, "asks": pack.asks, "facts": pack.facts}[section]:
                yield (section, other), f"`{section}` lacks `{other}`, as it has the outcome `{name}`"


def _nearest(node: Node, path: _Path) -> Node:
    """The innermost node on a path that is there."""
    for key in path:
        if not isinstance(node, Map) or key not in node.entries:
            return node
        node = node.entries[key]
    return node
