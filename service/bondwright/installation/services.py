"""Services that enter or run through the premises: the short form and the detailed form."""

from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from bondwright.installation.earthings import ON_OF_METAL, EarthingOfMetal
from bondwright.installation.proof import Bond, Bonds, Measurement, Measurements
from bondwright.installation.words import (
    STANDS,
    TOLD,
    TOUCHABLE_WITH_BUILDING,
    Bore,
    Conductivity,
    Described,
    FarEnd,
    Id,
    Jointing,
    LeftOut,
    Length,
    Material,
    MeterBody,
    Origin,
    ServiceKind,
    Stands,
    Surroundings,
    ToldOfService,
    Unknown,
    YesNo,
)

WhichLength = Literal["entering_pipe", "inside_pipe", "beyond_hidden"]


class BondOnService(Bond):
    """A bonding conductor found on a service, with the length of pipe that it is on."""

    on: WhichLength = Field(description="Which length of the service it is on.")


class MeasurementOnService(Measurement):
    """A reading taken on a service, with the length of pipe that it was taken on."""

    on: WhichLength = Field(description="Which visible length the reading was taken on. It speaks of that length only.")


class InsulatingSection(Described):
    """A plastic length or insulating joint between the entering metal and the metal inside."""

    from_entry_m: Length = Field("unknown", description="Metres from the point of entry to the start of the section.")
    length_m: Length = Field("unknown", description="Length of the insulating section in metres.", examples=[0.3])
    bore_mm: Bore = Field("unknown", description="Inside diameter in millimetres.", examples=[20])
    conductivity_us_per_cm: Conductivity = Field("unknown", description="Measured conductivity of the water.")


class Meter(Described):
    """The meter of a service."""

    position: Literal["inside", "outside", "none", "unknown"] = Field("unknown", description="Where it is, seen from the premises.")
    body: MeterBody = Field("unknown", description="A plastic body parts the metal on its two sides.")


class ServiceFrame(Described):
    """What every service is asked, in either form."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    kind: ServiceKind = Field(description="What it carries.")
    comes_from: Origin = Field(
        "unknown",
        description="Where it comes from, or goes to, outside these premises. `neighbour`: shared with premises on the public network, each"
        " on a service of its own. `separate_source`: shared with premises on a source of their own, as a transformer or a generator."
        " `own_equipment_outdoors`: equipment of this installation, as a heat pump, outdoors and clear of the soil, its pipes in free air.",
    )
    far_end_earthing: FarEnd = Field(
        "unknown",
        description="Of a riser, or a pipe to an outbuilding: how its far end is earthed. `same`: by this one. `same_network`: by a"
        " service of its own from the same distributor's network, of the same type. `additional_electrode`: by this installation, and by"
        " an electrode added there. `different`: by another type of earthing, as an electrode (TT) beside PME, and nobody knows more."
        " `separate`: by an earthing that is meant to be kept apart from this one.",
    )
    meter: Meter = Field(default_factory=cache(lambda: Meter()), description="The meter, if the service has one.")
    protective_conductor: YesNo = Field(
        "unknown", description="Is its metal also joined to a protective conductor, as by a boiler, pump or immersion heater?"
    )
    joined_to: Annotated[tuple[ServiceKind, ...], Field(max_length=12)] | Unknown = Field(
        "unknown", description="Services whose metal meets this one's at a boiler, cylinder or other appliance; an empty list says none."
    )
    earthing: EarthingOfMetal = Field("unknown", description=ON_OF_METAL)
    left_out_by_agreement: YesNo = Field("unknown", description="Was it agreed with the customer that this is not inspected?")
    told: ToldOfService = Field(default_factory=dict, description=TOLD)


class Service(ServiceFrame):
    """A service in the short form: what enters, what it becomes inside, and whether any of it is hidden."""

    enters_as: Material = Field("unknown", description="What the pipe is where it comes in, on the side it comes from.")
    insulating_section: InsulatingSection | Literal["none", "unknown"] = Field(
        "unknown", description="A plastic length or insulating joint after a metal entry."
    )
    joined_by: Jointing = Field("unknown", description="How the inside pipe is joined to the entering pipe where they differ.")
    inside: Material | Literal["nothing"] = Field("unknown", description="What the pipe is inside, or `nothing` if it ends at the entry.")
    hidden: YesNo = Field("unknown", description="Does any length of the inside pipe disappear from sight and reappear?")
    hidden_in: Surroundings = Field("unknown", description="What the hidden length lies in.")
    hidden_as: Material = Field("unknown", description="What the hidden length is known to be; `unknown` where it is only supposed.")
    entering_pipe_stands: LeftOut[Stands] = Field(None, description=f"The length that enters. {STANDS}")
    inside_pipe_stands: LeftOut[Stands] = Field(None, description=f"The inside pipe. {STANDS}")
    beyond_hidden_stands: LeftOut[Stands] = Field(None, description=f"The length beyond the hidden one. {STANDS}")
    touchable_with_building: YesNo = Field("unknown", description=TOUCHABLE_WITH_BUILDING)
    bonds: Annotated[tuple[BondOnService, ...], Field(max_length=20)] | Unknown = Field(
        "unknown", description="Bonding conductors found on it; an empty list says that none were found."
    )
    measurements: Annotated[tuple[MeasurementOnService, ...], Field(max_length=20)] = Field((), description="Readings taken on it.")


class Section(Described):
    """One length of a service in the detailed form, from where the length before it ends."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    material: Material = Field("unknown", description="What it is made of.")
    joint_before: Jointing = Field("unknown", description="How it is joined to the length before it.")
    traced: YesNo = Field("unknown", description="Was it seen over its whole length?")
    surroundings: Surroundings = Field("unknown", description="What it lies in.")
    length_m: Length = Field("unknown", description="Length in metres; it matters for plastic between two metals.")
    bore_mm: Bore = Field("unknown", description="Inside diameter in millimetres.")
    stands: LeftOut[Stands] = Field(None, description=STANDS)
    touchable_with_building: YesNo = Field("unknown", description=TOUCHABLE_WITH_BUILDING)
    bonds: Bonds | Unknown = Field("unknown", description="Bonding conductors found on it; an empty list says that none were found.")
    measurements: Measurements = Field((), description="Readings taken on it.")


class Branch(Described):
    """A branch that leaves at the end of a section."""

    sections: Annotated[tuple[Section, ...], Field(min_length=1, max_length=30)] = Field(description="Its lengths, outward.")


class MainSection(Section):
    """One length of the main run of a service in the detailed form."""

    branches: Annotated[tuple[Branch, ...], Field(max_length=10)] = Field((), description="Branches that leave at its end.")


class DetailedService(ServiceFrame):
    """A service in the detailed form: its lengths in order from the point of entry, with branches."""

    sections: Annotated[tuple[MainSection, ...], Field(min_length=1, max_length=30)] = Field(
        description="The main run, from the point of entry inwards; the first is the length that enters."
    )
