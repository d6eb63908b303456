"""How the earth of an installation comes: by the supply, by a feeding circuit, or from an electrode of its own."""

from typing import TypeAlias

from bondwright.errors import Contradiction, Fault
from bondwright.facts.asking import ask_field
from bondwright.facts.row import Asked
from bondwright.installation.description import Feeder, FurtherSupply, Installation, Supply
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known, opposite
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

_Questions: TypeAlias = tuple[Asked, ...]

_KNOWS_ELECTRODES = "electrode_shown_by_test"  # a fact of every pack that asks for the role of an electrode
_OWN = "own_electrode"
_BY_EARTH = {"carried_over": "feeder"}
_BY_ROLE = {"only_earth": _OWN, "additional": "feeder", "unknown": "unknown"}


def earth_comes_by(feeder: Feeder | None, pack: RulePack) -> str:
    """`supply`, `feeder`, `own_electrode`, `not_used` or `unknown`; packs published before take every electrode for the only earth."""
    if feeder is None:
        return "supply"
    if feeder.earth in (_OWN, "unknown") and _KNOWS_ELECTRODES in pack.facts:
        return _BY_ROLE[feeder.electrode]
    return _BY_EARTH.get(feeder.earth, feeder.earth)


def about_coming(feeder: Feeder | None, pack: RulePack) -> _Questions:
    """The questions behind that, where it is unknown."""
    if feeder is None or earth_comes_by(feeder, pack) != "unknown":
        return ()
    earth = ask_field("feeder_earth", "/supply/feeder/earth", feeder.earth, pack)
    if _KNOWS_ELECTRODES not in pack.facts:
        return earth
    return earth + ask_field("feeder_electrode", "/supply/feeder/electrode", feeder.electrode, pack)


def pme_applies(supply: Supply | FurtherSupply) -> Known:
    """Whether PME conditions apply to a supply."""
    return "yes" if supply.pme_conditions == "apply" else "no" if supply.pme_conditions == "do_not_apply" else "unknown"


def earth_facts(supply: Supply, pack: RulePack) -> dict[str, FactValue]:
    """What every part takes from the earth of the installation: whether it has one, whose it is, and whether an electrode is all of it."""
    comes_by = earth_comes_by(supply.feeder, pack)
    alone: Known = "yes" if comes_by == _OWN else "unknown" if comes_by == "unknown" else "no"
    if supply.feeder is not None and supply.feeder.comes_from == "landlords_installation":
        alone = "no"
    return {"protective_earth_used": _used(supply, pack), "pme_earth": pme_earth(supply, pack), "electrode_alone": alone}


def about_earth(installation: Installation, pack: RulePack) -> dict[str, _Questions]:
    """The questions behind what is unknown of the earth and of who supplies, by fact."""
    supply, feeder = installation.supply, installation.supply.feeder
    coming = about_coming(feeder, pack)
    from_whom = ask_field("flat", "/supply/feeder/comes_from", feeder.comes_from, pack) if feeder is not None else ()
    return {
        "pme_earth": about_pme_earth(supply, pack),
        "electrode_alone": coming + from_whom,
        "protective_earth_used": coming,
        "flat_supply": ask_field("flat", "/premises", installation.premises, pack) + from_whom,
    }


def _used(supply: Supply, pack: RulePack) -> Known:
    feeder = supply.feeder
    if feeder is not None and feeder.earth == "unknown":
        return "unknown" if earth_comes_by(feeder, pack) == "unknown" else "yes"
    return "no" if feeder is not None and feeder.earth == "not_used" else "yes"


def pme_earth(supply: Supply, pack: RulePack) -> Known:
    """Whether the earth is that of a supply with PME conditions; an electrode of its own, or none used, is not."""
    comes_by = earth_comes_by(supply.feeder, pack)
    if comes_by in (_OWN, "not_used"):
        return "no"
    own: Known = "no" if supply.earthing_system == "TT" else pme_applies(supply)
    found = either(own, *(pme_applies(further) for further in supply.further_supplies))
    return both(found, "unknown") if comes_by == "unknown" else found


def about_pme_earth(supply: Supply, pack: RulePack, ask: str = "pme_earth") -> _Questions:
    """The questions behind that, where it is unknown, asked for the fact `ask`."""
    if pme_earth(supply, pack) != "unknown":
        return ()
    asked: _Questions = ()
    if supply.earthing_system != "TT":
        asked = ask_field(ask, "/supply/pme_conditions", supply.pme_conditions, pack)
    for index, further in enumerate(supply.further_supplies):
        asked += ask_field(ask, f"/supply/further_supplies/{index}/pme_conditions", further.pme_conditions, pack)
    return asked + about_coming(supply.feeder, pack)


def tt_alone(supply: Supply, shares_metal: Known, pack: RulePack) -> Known:
    """Whether its own electrode is the only earth of the installation, and none of its metal is shared with another one."""
    return both(_own_electrode(supply, pack), opposite(shares_metal))


def about_tt_alone(supply: Supply, shares_metal: Known, pack: RulePack) -> _Questions:
    """The questions behind it."""
    found = about_coming(supply.feeder, pack)
    if _KNOWS_ELECTRODES not in pack.facts:
        return ()
    if supply.earthing_system == "unknown" and earth_comes_by(supply.feeder, pack) != _OWN:
        found += ask_field("earthing_system", "/supply/earthing_system", supply.earthing_system, pack)
    if shares_metal == "unknown":
        found += ask_field("shares_metal", "/shares_metal", "unknown", pack)
    return found


def _own_electrode(supply: Supply, pack: RulePack) -> Known:
    tt: Known = "yes" if supply.earthing_system == "TT" else "unknown" if supply.earthing_system == "unknown" else "no"
    comes_by = earth_comes_by(supply.feeder, pack)
    own: Known = "yes" if comes_by == _OWN else either(tt, "unknown") if comes_by == "unknown" else tt
    return both(own, opposite(either(*(pme_applies(further) for further in supply.further_supplies))))


def taken_as_buried(supply: Supply, pack: RulePack) -> Known:
    """Whether the earthing conductor lies in the ground, as that of an electrode does until somebody says otherwise."""
    buried = supply.earthing_conductor.buried
    return buried if buried != "unknown" else _own_electrode(supply, pack)


def metal_shared(installation: Installation, certainly: bool) -> Known:
    """Whether metal is shared with another installation; `certainly`: whether some part described surely reaches one.

    Raises: Contradiction, if that is so and the description denies it.
    """
    if certainly and installation.shares_metal == "no":
        way_out = "a part described reaches another installation; say yes, or correct where that part comes from"
        raise Contradiction((Fault("/shares_metal", way_out),))
    return "yes" if certainly else known(installation.shares_metal)


def refuse_contradictions(installation: Installation) -> None:
    """Nothing, if what is said of the feeding circuit and of an electrode can hold together.

    Raises: Contradiction, with the place and the way out.
    """
    feeder = installation.supply.feeder
    if feeder is None or feeder.electrode == "unknown":
        return
    if feeder.earth == "carried_over" and feeder.electrode == "only_earth":
        way_out = "the feeding circuit carries the earth over, so an electrode here is additional; correct this or `earth`"
        raise Contradiction((Fault("/supply/feeder/electrode", way_out),))
    if feeder.earth == "not_used":
        way_out = "no earth is used here, so an electrode is none; leave this out, or correct `earth`"
        raise Contradiction((Fault("/supply/feeder/electrode", way_out),))
