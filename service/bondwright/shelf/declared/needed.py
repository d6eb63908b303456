"""What a pack must have: one that lacks any of what the service reads by name is refused when it is to judge, with the place of the gap."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Any, TypeAlias

from bondwright.facts.conductors import BY_RESISTANCE, BY_SIZE, CABLE, COMPARED, RESISTANCES, SIZED_METALS
from bondwright.rulebook.declared.acts import AGAIN, OF_EARTHINGS
from bondwright.rulebook.declared.places import NAMED
from bondwright.rulebook.facts import NO, YES
from bondwright.rulebook.kinds import TABLES
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.declaration import DECLARING, STRICT, Declaration, declaration, in_format, section
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.reading.advice import BONDS
from bondwright.shelf.reading.nodes import Map, read_nodes, refused

_Path: TypeAlias = tuple[str, ...]
"""The keys from a section of the pack to what it lacks."""
_Lacking: TypeAlias = Iterator[tuple[_Path, str]]
_OLDER_RESISTANCES = {"conductor-resistance": "conductor_metals"}
"""The table of properties in which packs published before there were reference tables keep one."""
_DEVICES, _FREEING = "devices", "acts_that_free"


def demand_fit(pack: RulePack, text: Map | None = None) -> None:
    """Nothing, if the pack has all that judging a description reads by name; `text`: its file as it was read, if that is at hand.

    Raises: UnreadableRules, with the name of what it lacks and the place where that would stand.
    """
    for path, said in lacking(pack):
        file = next((rule.place.file for rule in pack.rules), f"published/{pack.pack_id}.yaml")
        raise refused(section(text or read_nodes(pack.text, file), *path).place, f"{said}, which is read by name")


def names_kinds(pack: RulePack) -> bool:
    """Whether the pack names kinds of things, so that it is made to judge descriptions."""
    return any(table in pack.properties for table in TABLES.values())


def lacking(pack: RulePack) -> _Lacking:
    """What the pack lacks of what its format must have: the keys that lead there, and words for it."""
    read, form = declaration(rules_folder()), pack.format
    told = [name for name, fact in read.facts.items() if fact.needed and fact.since <= form and in_format(fact.until, form)]
    yield from _lacking_rows(pack, read)
    yield from _missing(
        "values", [name for name, value in read.values.items() if value.needed and value.since <= form], pack.values, "value"
    )
    yield from _lacking_references(pack, read)
    yield from _lacking_of_fluids(pack)
    yield from _lacking_of_metals(pack)
    yield from _lacking_acts_and_devices(pack)
    yield from _missing("asks", (*read.asks.needed, *(read.asks.more if form >= STRICT else ())), pack.asks, "question")
    yield from _missing(
        "facts",
        told,
        pack.facts,
        "fact",
    )
    yield from _missing("readings", read.readings, pack.readings, "reading")
    yield from _missing("advice", (*read.advice.needed, *(read.advice.until_3 if form < DECLARING else ())), pack.advice, "act")
    yield from _lacking_outcomes(pack, read)
    yield from _lacking_together(pack, read)
    yield from _lacking_of_earthings(pack)
    yield from _lacking_joined_rows(pack)


def _lacking_of_earthings(pack: RulePack) -> _Lacking:
    """An act for each thing that is safe to act on of a further earthing, where the pack judges one."""
    if outcome := pack.outcomes.get(pack.roles.further_earthing):
        instead = (outcome.unsettled.act_on, AGAIN) if outcome.unsettled else ()
        yield from _missing("advice", [f"{OF_EARTHINGS}{word}" for word in (*outcome.levels, *instead)], pack.advice, "act")


def _lacking_joined_rows(pack: RulePack) -> _Lacking:
    roles = pack.roles
    if not pack.joined:
        yield ("joined",), "`joined` lacks a row"
    if pack.format < STRICT or not {roles.duty, roles.objection} <= pack.outcomes.keys():
        return
    duties, objections = pack.outcomes[roles.duty].levels, pack.outcomes[roles.objection].levels
    for duty, objection, state, *firm in product(duties, objections, BONDS, (YES, NO), (YES, NO)):
        if not any(row.fits(duty, objection, state, firm[0], firm[1]) for row in pack.joined):
            yield ("joined",), f"`joined` lacks a row for duty `{duty}`, objection `{objection}` and bond `{state}`"
            return


def _missing(section: str, names: Sequence[str], there: Mapping[str, Any], what: str) -> _Lacking:
    return (((section, name), f"`{section}` lacks the {what} `{name}`") for name in names if name not in there)


def _lacking_rows(pack: RulePack, read: Declaration) -> _Lacking:
    kinds = TABLES.values() if pack.kinds.declared else ()
    for name, table in read.properties.items():
        if name not in pack.properties:
            if name in kinds or table.since <= pack.format:
                yield ("properties", name), f"`properties` lacks the table `{name}`"
            continue
        found = pack.properties[name]
        there = (*found, *(table.later if pack.format < STRICT else ()))
        rows = table.rows_needed(pack.format >= DECLARING)
        if table.since <= pack.format:
            yield from ((("properties", name, row), f"table `{name}` lacks the row `{row}`") for row in rows if row not in there)
        needed = [column for column, held in table.columns.items() if held.needed and held.since <= pack.format]
        for row, cells in found.items():
            lacks = (column for column in needed if column not in cells)
            yield from ((("properties", name, row, column), f"row `{row}` of table `{name}` lacks `{column}`") for column in lacks)


def _lacking_references(pack: RulePack, read: Declaration) -> _Lacking:
    for name, table in read.references.items():
        if pack.format < STRICT and not (name in _OLDER_RESISTANCES and _OLDER_RESISTANCES[name] not in pack.properties):
            continue
        if name not in pack.references:
            if table.needed:
                yield ("references", name), f"`references` lacks the table `{name}`"
            continue
        if pack.format >= STRICT:
            keys = [key for key, _ in pack.references[name]]
            lacks = [row for row in _beginnings(table.by, table.beginnings) if not any(_begins(key, row) for key in keys)]
            for row in lacks:
                said = ", ".join(word for word in row.values())
                yield ("references", name, "rows"), f"reference table `{name}` lacks a row of `{said}`"


def _beginnings(by: Mapping[str, str | tuple[str, ...]], stated: Sequence[tuple[str, ...]]) -> Iterator[Mapping[int, str]]:
    """What the keys of some row must be, by their place: each word of each column of words, and what is stated to begin rows."""
    for place, words in enumerate(by.values()):
        if not isinstance(words, str):
            yield from ({place: word} for word in words)
    yield from (dict(enumerate(row)) for row in stated)


def _begins(key: tuple[str | float, ...], row: Mapping[int, str]) -> bool:
    return all(key[place] == word for place, word in row.items() if place < len(key))


def _lacking_of_fluids(pack: RulePack) -> _Lacking:
    fluids = pack.properties.get("fluids", {})
    for service, cells in pack.properties.get("service_kinds", {}).items():
        if cells.get("fluid", "none") not in fluids:
            yield ("properties", "fluids"), f"table `fluids` lacks the row `{cells['fluid']}` of the service `{service}`"
    for cells in fluids.values():
        if cells.get("conducts") != NO:
            yield from _missing("values", [cells.get(end, end) for end in ("least", "greatest")], pack.values, "value")


def _lacking_of_metals(pack: RulePack) -> _Lacking:
    metals = pack.properties.get(SIZED_METALS, {})
    if metals and [cells.get(COMPARED) for cells in metals.values()].count(BY_SIZE) != 1:
        yield ("properties", SIZED_METALS), f"table `{SIZED_METALS}` lacks one row, and one alone, with `{COMPARED}: {BY_SIZE}`"
    for metal, cells in metals.items():
        keys = [key[:2] for key, _ in pack.references.get(RESISTANCES, ())]
        if cells.get(COMPARED) in (BY_SIZE, BY_RESISTANCE) and (metal, CABLE) not in keys:
            yield ("references", RESISTANCES), f"reference table `{RESISTANCES}` lacks a row of `{metal}, {CABLE}`"


def _lacking_acts_and_devices(pack: RulePack) -> _Lacking:
    """Tables that may be missing in the first format, and what their rows must have if they are there."""
    if (freeing := pack.properties.get(_FREEING)) is not None:
        yield from _missing("properties", ("plan",), freeing, f"row of the table `{_FREEING}`,")
        for row, cells in freeing.items():
            if "words" not in cells:
                yield ("properties", _FREEING, row), f"row `{row}` of table `{_FREEING}` lacks `words`"
    for device, cells in pack.properties.get(_DEVICES, {}).items():
        columns = (("multiple", pack.values), ("multiples", pack.references), ("currents", pack.references))
        named = [(column, there) for column, there in columns if column in cells]
        if not named:
            yield ("properties", _DEVICES, device), f"row `{device}` of table `{_DEVICES}` lacks `multiples` or `currents`"
        for column, there in named:
            if cells[column] not in there:
                yield ("properties", _DEVICES, device, column), f"`{cells[column]}` of the device `{device}` is not in the pack"


def _lacking_outcomes(pack: RulePack, read: Declaration) -> _Lacking:
    for role, held in read.outcomes.items():
        if not in_format(held.until, pack.format):
            continue
        name = pack.roles.called(role)
        if not name:
            yield ("roles", role), f"`roles` lacks `{role}`"
            continue
        outcome = pack.outcomes.get(name)
        if outcome is None or outcome.of != held.of or bool(outcome.levels) is bool(held.unit):
            yield ("outcomes", name), f"`outcomes` lacks the outcome `{name}` of a {held.of}, with {'a unit' if held.unit else 'levels'}"
            continue
        lacks = (level for level in held.levels if level not in outcome.levels)
        yield from ((("outcomes", name, "levels"), f"outcome `{name}` lacks the level `{level}`") for level in lacks)
        if held.count and len(outcome.levels) != held.count:
            yield ("outcomes", name, "levels"), f"outcome `{name}` lacks one of its {held.count} levels"
        if held.unit and pack.format >= STRICT and outcome.unit != held.unit:
            yield ("outcomes", name, "unit"), f"outcome `{name}` lacks the unit `{held.unit}`"
    spoken = {rule.outcome for rule in pack.rules}
    for name in pack.outcomes:
        if name not in spoken:
            yield ("rules",), f"`rules` lacks a rule that decides `{name}`"


def _lacking_together(pack: RulePack, read: Declaration) -> _Lacking:
    there: Mapping[str, Mapping[str, Any]] = {"outcomes": pack.outcomes, "advice": pack.advice, "asks": pack.asks, "facts": pack.facts}
    for name, others in read.together.items():
        name = pack.roles.called(name)
        if name in pack.outcomes and pack.outcomes[name].of in NAMED and pack.format >= DECLARING:
            continue
        if name in pack.outcomes or name in pack.facts:
            for held, names in others.items():
                needed = (pack.roles.called(other) if held == "outcomes" else other for other in names)
                lacks = (other for other in needed if other not in there[held])
                yield from (((held, other), f"`{held}` lacks `{other}`, as it has `{name}`") for other in lacks)
