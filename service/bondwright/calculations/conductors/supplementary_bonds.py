"""Size of a supplementary bonding conductor, by the rules that decide it for rooms."""

from collections.abc import Iterator, Mapping
from typing import Literal

from pydantic import Field

from bondwright.calculations.answer import Judgement
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, both, needed, quantity, step
from bondwright.calculations.conductors.metals import COPPER_ALONE, require_sizing
from bondwright.calculations.inputs import Inputs, SizeMm2
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import LeftOut, LocationKind
from bondwright.rulebook.declared.places import KIND, ROOM, Link, Named
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue
from bondwright.said import filled

_CPC = {"exposed_to_exposed": "lesser_cpc_mm2", "exposed_to_extraneous": "cpc_mm2"}
_VALIDITY = (
    "holds_size_is_of_copper",
    COPPER_ALONE,
    "holds_pairing_of_extraneous",
    "holds_separate_conductor",
)


class SupplementaryBondSizeInputs(Inputs):
    """What the conductor joins, the circuit protective conductors there, and whether it is protected."""

    pairing: Literal["exposed_to_exposed", "exposed_to_extraneous", "extraneous_to_extraneous"] = Field(
        description="What it joins: exposed-conductive-parts of equipment, extraneous-conductive-parts, or one with the other."
    )
    protected: Literal["yes", "no"] = Field(description="Is it sheathed or mechanically protected?")
    location_kind: LocationKind = Field(
        "unknown",
        description="What kind of location it is in, for some ask for larger ones; where that is not told, the largest that any asks for.",
    )
    lesser_cpc_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of the smaller of the two circuit protective conductors, in copper; for two exposed parts."
    )
    cpc_mm2: LeftOut[SizeMm2] = Field(
        None,
        description="Cross-section of the exposed part's circuit protective conductor, in copper; for an exposed and an extraneous part.",
    )


def _size(asked: SupplementaryBondSizeInputs, bench: Bench) -> Worked:
    links = bench.pack.links(*asked.pairing.split("_to_"))
    require_sizing(bench, *(link.size for link in links.values()))
    _require_no_other(asked)
    cpc = needed(asked, _CPC[asked.pairing]) if asked.pairing in _CPC else None
    asking = {kind: (link.size, _given(kind, link, cpc, asked, bench)) for kind, link in links.items() if _may_be(kind, asked)}
    if not asking:
        detail = f"this rule pack sizes no such conductor there; write one of {', '.join(links)}, or leave it out for the largest of them"
        raise Contradiction((Fault("/location_kind", detail),))
    # What is not taken is not cited, so each is sized on a bench of its own.
    sizes = {kind: Bench(bench.pack, bench.acting).size(ROOM, *each) for kind, each in asking.items()}
    taken = max(sizes, key=lambda kind: sizes[kind])
    sized = bench.sized(ROOM, *asking[taken])
    found = quantity("supplementary_bond_size", sized.value, "mm2")
    if asked.lesser_cpc_mm2 is not None and found.value < asked.lesser_cpc_mm2:
        way_out = f"must be at most {found.value:g} mm², the largest made size that the rules of this pack know"
        raise Contradiction((Fault("/lesser_cpc_mm2", way_out),))
    says = bench.say(f"link_{asked.pairing}_{'protected' if asked.protected == 'yes' else 'unprotected'}")
    used = () if cpc is None else (quantity(links[taken].by, cpc, "mm2"),)
    formula = f"supplementary_bond_size = rules({used[0].name if used else ''})"
    working = (step(says, formula, used, found, sized.rows, sized.rules),)
    return Worked((found,), working, tuple(_judged(asked, sizes, bench)))


def _may_be(kind: str, asked: SupplementaryBondSizeInputs) -> bool:
    return asked.location_kind in (kind, UNKNOWN)


def _given(kind: str, link: Link, cpc_mm2: float | None, asked: SupplementaryBondSizeInputs, bench: Bench) -> Mapping[str, FactValue]:
    """What is known of a conductor in a location of that kind."""
    given: dict[str, FactValue] = {link.protected: asked.protected}
    if fact := bench.pack.places.fact(Named(KIND)):
        given[fact] = kind
    if cpc_mm2 is not None:
        given[link.by] = Between(cpc_mm2, cpc_mm2)
    return given


def _judged(asked: SupplementaryBondSizeInputs, sizes: Mapping[str, float], bench: Bench) -> Iterator[Judgement]:
    """Which kind of location was told; where none was, and it makes a difference, which ask for the largest size."""
    least, most = min(sizes.values()), max(sizes.values())
    if asked.location_kind != UNKNOWN:
        words = bench.pack.kind("location", asked.location_kind).word("words", asked.location_kind)
        yield Judgement("location", asked.location_kind, " ".join(filled(words, {"number": ""}).split()))
    elif least != most:
        kinds = both((f"`{kind}`" for kind, size in sizes.items() if size == most), bench.say)
        words = bench.say("judged_largest_of_locations", size=f"{most:g}", kinds=kinds, least=f"{least:g}")
        yield Judgement("location", UNKNOWN, words)


def _require_no_other(asked: SupplementaryBondSizeInputs) -> None:
    """Pass if no protective conductor is given that says nothing of this pairing. Raises: Contradiction."""
    other = [place for pairing, place in _CPC.items() if pairing != asked.pairing and getattr(asked, place) is not None]
    if other:
        raise Contradiction(tuple(Fault(f"/{place}", f"leave it out for {asked.pairing}, which does not go by it") for place in other))


SUPPLEMENTARY_BOND_SIZE = Calculation("supplementary-bond-size", SupplementaryBondSizeInputs, _VALIDITY, _size)
