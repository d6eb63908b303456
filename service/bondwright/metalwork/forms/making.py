"""Where a length is made, whatever form of description tells of it."""

from collections.abc import Iterable, Mapping
from typing import TypeVar

from bondwright.installation.proof import Bond, Measurement
from bondwright.installation.rooms import Item
from bondwright.installation.services import Section, Service, ServiceFrame
from bondwright.metalwork.forms.tables import Tables
from bondwright.metalwork.graph import Known
from bondwright.metalwork.keys import by_fact, gap
from bondwright.metalwork.lengths import EntrySection, Length, LengthNotes, LengthService, Noted
from bondwright.metalwork.notes import SurveyNotes

BondOrReading = TypeVar("BondOrReading", Bond, Measurement)


def write_length(
    notes: SurveyNotes,
    tables: Tables,
    described: Service | Section | Item,
    *,
    node: str,
    belongs_to: str,
    pointer: str,
    name: str,
    kind: str,
    bond_place: str,
    material: str,
    made_of: str | None,
    touches_soil_or_concrete: Known,
    stands_inside: Known,
    noted: LengthNotes,
    service: LengthService,
    gaps: Mapping[str, str | None],
    count: float = 1.0,
    seen: bool = True,
) -> str:
    """Write one length onto `notes`; gives its node.

    `described`: what tells of it, at `pointer`; of a service in the short form, of all its lengths. `made_of`: the key of the question what
    it is made of, where that is open; `gaps`: of what else is open, but for what is asked of every length alike. The rest: as of a Length.
    """
    near = described.touchable_with_building
    length = Length(
        node=node,
        belongs_to=belongs_to,
        pointer=pointer,
        name=name,
        kind=kind,
        bond_place=bond_place,
        touches_soil_or_concrete=touches_soil_or_concrete,
        stands_inside=stands_inside,
        touchable_with_building=near,
        of_material=tables.pack.telling_of("materials", material),
        count=count,
        seen=seen,
        noted=noted,
        service=service,
        gaps=by_fact(
            {
                "touchable_with_building": gap("touchable_with_building", f"{pointer}/touchable_with_building", near),
                **dict.fromkeys(tables.pack.tells("materials").values(), made_of),
                "bonds": gap("bond", f"{pointer}/bonds", described.bonds),
                **gaps,
            }
        ),
    )
    return notes.add(length, tables.ask("materials", material, "conducts"), made_of)


def write_appliances(notes: SurveyNotes, service: str) -> str:
    """Write down what stands for the appliances at the ends of a service, by its name; gives its node. Nobody is asked about it."""
    length = Length(f"{service}/appliances", service, "", "appliances", "appliances", "here", touches_soil_or_concrete="no", seen=False)
    return notes.add(length, "yes")


def of_service(
    tables: Tables, service: ServiceFrame, owner_asset: Known = "no", entry_section: EntrySection | None = None
) -> LengthService:
    """What a service is to one of its lengths; `entry_section`: none where the form does not tell of one."""
    return LengthService(
        sort=tables.kind_word("service", service.kind, "sort"),
        fluid=tables.fluid(service),
        owner_asset=owner_asset,
        meter_inside=tables.meter_inside(service),
        meter_outside=tables.meter_outside(service),
        entry_section=entry_section or EntrySection(),
        left_out_by_agreement=service.left_out_by_agreement,
    )


def of_item(tables: Tables, item: Item) -> LengthService:
    """What an item is, which is one length."""
    return LengthService(
        sort=tables.kind_word("item", item.kind, "sort"),
        owner_consent=item.owner_consent,
        of_kind=tables.pack.telling_of("item_kinds", item.kind),
        equipment_case=tables.kind_ask("item", item.kind, "equipment"),
        protected_as=item.protected_as,
        left_out_by_agreement=item.left_out_by_agreement,
    )


def noted_on(owner: str, pointer: str, described: Service | Section | Item, on: str | None = None) -> LengthNotes:
    """The bonds and readings that `described`, at `pointer`, tells of, named after `owner`; `on`: those on one length of a service."""
    return LengthNotes(
        bonds=None if isinstance(described.bonds, str) else _noted(owner, pointer, "bonds", described.bonds, on),
        measurements=_noted(owner, pointer, "measurements", described.measurements, on),
    )


def _noted(owner: str, pointer: str, list_name: str, listed: Iterable[BondOrReading], on: str | None) -> tuple[Noted[BondOrReading], ...]:
    return tuple(
        Noted(f"{owner}/{bond_or_reading.id or f'{list_name}-{index}'}", f"{pointer}/{list_name}/{index}", bond_or_reading)
        for index, bond_or_reading in enumerate(listed)
        if on is None or getattr(bond_or_reading, "on", None) == on
    )
