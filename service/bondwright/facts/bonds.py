"""The row of each existing bond: what was found of it, what it should read, and what is asked of the part that it is on."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from bondwright.calculators.instruments import true_value_between
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_field, ask_keys, ask_moving, ask_open, words_of
from bondwright.facts.conductors import ask_conductor, cross_section, kept_of_size, ohm_per_metre, size_between
from bondwright.facts.parts.part import REQUIRED, Part, called_for
from bondwright.facts.parts.readings import resistance_between, shown_resistance
from bondwright.facts.row import Asked, Judged, Row, at_least, judged, row_of
from bondwright.installation.proof import Bond
from bondwright.installation.words import LENGTH_BOUNDS_M
from bondwright.metalwork.known import both, opposite
from bondwright.metalwork.lengths import Length, Noted
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue
from bondwright.rulebook.pack import RulePack
from bondwright.units import rounded

BOND = "bond"
_NOTHING_NEW = "no_new_connection"
_APART = "must_not_be_connected"
_LIMIT, _EXPECTED, _LAST_DIGIT = "bond_continuity_limit", "bond_continuity_expected", "continuity_last_digit"
_FIELDS: Mapping[str, str] = {
    "bond_far_end": "connected_to",
    "bond_continuity": "continuity",
    "bond_continuity_shown": "continuity",
    "bond_parted": "continuity_parted",
    "bond_joint": "joint",
    "bond_accessible": "accessible",
    "bond_labelled": "labelled",
    "bond_before_branch": "before_first_branch",
    "bond_from_meter": "from_meter_m",
    "bond_closer_practicable": "closer_place_practicable",
}
"""The field of a bond that tells a fact."""
_SAYS_NOTHING = (None, UNKNOWN)


class _DescribedBond(Struct, frozen=True):
    """An existing bond on a part, as a row, and the continuity in ohm that it should show, if its length is known."""

    part: str
    noted: Noted[Bond]
    row: Row
    expected_ohm: float | None


class JudgedBond(Struct, frozen=True):
    """The same with what was concluded of it."""

    noted: Noted[Bond]
    judged: Judged
    expected_ohm: float | None


def judged_bonds(parts: Sequence[Part], supply: Judged, new: str, reasoning: Reasoning) -> Mapping[str, tuple[JudgedBond, ...]]:
    """The bonds of each part by the part's name, in the order found.

    `supply`: with the size that is asked for. `new`: whether the work is new, as the pack's table of works says.
    """
    described = list(_described(parts, supply, new, reasoning))
    grouped: dict[str, list[JudgedBond]] = {part.name: [] for part in parts}
    for bond, concluded in zip(described, judged([bond.row for bond in described], reasoning), strict=True):
        grouped[bond.part].append(JudgedBond(bond.noted, concluded, bond.expected_ohm))
    return {name: tuple(bonds) for name, bonds in grouped.items()}


def _described(parts: Sequence[Part], supply: Judged, new: str, reasoning: Reasoning) -> Iterator[_DescribedBond]:
    pack = reasoning.pack
    fields = pack.derived("fields of bonds", lambda: [(fact, field) for fact, field in _FIELDS.items() if words_of(fact, pack)])
    for part in parts:
        about_part = _about_place(part.judged, reasoning) if part.bonds else {}
        of_all = _of_all(part, supply, new, pack) if part.bonds else {}
        for length in part.lengths:
            for noted in length.noted.bonds or ():
                known, expected = _facts(noted.described, length, reasoning)
                known |= of_all
                about_size = _about_size(supply, known["bond_size"], reasoning)
                asked = {**_asked(noted.described, noted.pointer, length, fields, pack), **about_part, "bond_size_asked": about_size}
                yield _DescribedBond(part.name, noted, row_of(pack, BOND, noted.name, noted.pointer, known, asked), expected)


def _about_size(supply: Judged, size: FactValue, reasoning: Reasoning) -> tuple[Asked, ...]:
    """What would settle whether the size that is asked for is more than the one found; all of it, where that is open itself."""
    fixed = size if isinstance(size, Between) and size.known else ""
    return ask_moving(supply, reasoning.pack.roles.main_bond, reasoning, fixed)


def _of_all(part: Part, supply: Judged, new: str, pack: RulePack) -> dict[str, FactValue]:
    """What holds of every bond on a part."""
    objection, found = pack.roles.objection, part.judged
    apart = at_least(found, objection, _APART, pack)
    return {
        "bond_size_asked": supply.facts[pack.roles.main_bond],
        "work_new": new,
        "bond_needed": called_for(found, pack),
        "bond_joins_what_must_stay_apart": apart,
        "bond_on_metal_outside": both(at_least(found, objection, _NOTHING_NEW, pack), opposite(apart)),
    }


def _about_place(part: Judged, reasoning: Reasoning) -> dict[str, tuple[Asked, ...]]:
    """The questions behind what a bond is judged by of the part that it is on."""
    duty, objection = reasoning.pack.roles.duty, reasoning.pack.roles.objection
    return {
        "bond_needed": ask_open(part, duty, reasoning, REQUIRED),
        "bond_joins_what_must_stay_apart": ask_open(part, objection, reasoning, _APART),
        "bond_on_metal_outside": ask_open(part, objection, reasoning, _NOTHING_NEW) + ask_open(part, objection, reasoning, _APART),
    }


def _asked(bond: Bond, pointer: str, length: Length, fields: Sequence[tuple[str, str]], pack: RulePack) -> dict[str, tuple[Asked, ...]]:
    """The questions behind what is unknown of a bond itself, each at its field; `fields`: those that the pack has a question for."""
    size = ask_conductor("bond_size", pointer, bond, pack)
    said: dict[str, object] = bond.__dict__
    return {
        **{fact: (Asked(fact, f"{pointer}/{field}"),) for fact, field in fields if said[field] in _SAYS_NOTHING},
        "bond_size": size,
        "bond_metal": ask_field("bond_metal", f"{pointer}/material", bond.material, pack),
        "bond_cross_section": ask_field("bond_cross_section", f"{pointer}/size", bond.size, pack),
        **{name: size + ask_field(name, f"{pointer}/length_m", bond.length_m, pack) for name in (_LIMIT, _EXPECTED)},
        "bond_after_inside_meter": ask_keys([length.gaps.get("meter_inside")], pack),
    }


def _facts(bond: Bond, length: Length, reasoning: Reasoning) -> tuple[dict[str, FactValue], float | None]:
    pack = reasoning.pack
    key = "bond size", bond.size, bond.material
    size = kept_of_size(bond.size, key, lambda: size_between(pack, bond.size, bond.material, "bond_size"), reasoning)
    assert isinstance(size, Between)
    sound = _sound(bond, size, reasoning)
    known: dict[str, FactValue] = {
        "bond_far_end": bond.connected_to,
        "bond_size": size,
        "bond_metal": bond.material,
        _LIMIT: _widened(sound, pack),
        "bond_parted": bond.continuity_parted,
        "bond_joint": bond.joint,
        "bond_accessible": bond.accessible,
        "bond_labelled": bond.labelled,
        "bond_before_branch": bond.before_first_branch,
        "bond_after_inside_meter": length.service.meter_inside,
        "bond_closer_practicable": bond.closer_place_practicable,
    }
    if not isinstance(bond.from_meter_m, str):
        known["bond_from_meter"] = Between(bond.from_meter_m, bond.from_meter_m)
    if bond.size != "unknown":
        area = cross_section(bond.size)
        known["bond_cross_section"] = Between(area, area)
    if pack.has_value(_LAST_DIGIT):
        digit = pack.number(_LAST_DIGIT)
        known[_EXPECTED] = Between(sound.lowest + digit, sound.highest + digit)
    measured = resistance_between(bond.continuity, pack)
    shown = shown_resistance(bond.continuity, pack.fact("bond_continuity").highest)
    if measured is not None and shown is not None:
        known |= {"bond_continuity": measured, "bond_continuity_shown": shown}
    return known, rounded(sound.highest) if sound.known else None


def _sound(bond: Bond, size: Between, reasoning: Reasoning) -> Between:
    """Resistance in ohm that the bond has at most if it is sound: length times resistance per metre, as far as both are told."""
    shortest, longest = LENGTH_BOUNDS_M if isinstance(bond.length_m, str) else (bond.length_m, bond.length_m)
    return Between(shortest * ohm_per_metre(reasoning, size.highest), longest * ohm_per_metre(reasoning, size.lowest))


def _widened(sound: Between, pack: RulePack) -> Between:
    """What a sound bond may read at most: its resistance widened by the instrument, and an allowance."""
    allowance, uncertainty = pack.number("continuity_allowance"), pack.number("reading_uncertainty")
    top = pack.fact(_LIMIT).highest
    return Between(*(min(true_value_between(ohm, uncertainty, allowance)[1], top) for ohm in (sound.lowest, sound.highest)))
