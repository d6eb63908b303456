"""Loose metalwork, circuits and locations in which supplementary bonding is in question."""

from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from bondwright.installation.earthings import ON, ON_OF_METAL, EarthingOf, EarthingOfMetal
from bondwright.installation.proof import Bonds, Measurements
from bondwright.installation.words import (
    STANDS,
    TOLD,
    TOUCHABLE_WITH_BUILDING,
    Described,
    DeviceType,
    FedBy,
    Id,
    ItemKind,
    LeftOut,
    LocationKind,
    Material,
    Measure,
    Rating,
    Rcd,
    Reading,
    ServiceKind,
    Size,
    Stands,
    ToldOfCircuit,
    ToldOfItem,
    ToldOfLocation,
    ToldOfService,
    Touches,
    Unknown,
    YesNo,
)


class Item(Described):
    """A piece of metalwork that is not a service, or several alike."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    kind: ItemKind = Field(description="What it is.")
    count: Annotated[float, Field(ge=1, le=1000)] = Field(1.0, description="How many alike, all with the same facts.")
    material: Material = Field("unknown", description="What it is made of.")
    fed_by: FedBy = Field("unknown", description="The pipe that feeds it, beyond its own short tails: plastic, metal, or no pipe at all.")
    touches: Touches = Field(
        "unknown",
        description="What it touches that may carry the potential of earth or of another installation. A tap, sink, radiator or towel rail"
        " is what its pipe is, whatever it touches; only steel that is described counts for it.",
    )
    stands: LeftOut[Stands] = Field(None, description=STANDS)
    touchable_with_building: YesNo = Field("unknown", description=TOUCHABLE_WITH_BUILDING)
    protected_as: Literal["ordinary", "selv", "separated", "earth_free", "unknown"] = Field(
        "unknown", description="For an equipment case: the protective measure of its circuit."
    )
    owner_consent: Literal["given", "refused", "not_asked", "unknown"] = Field(
        "unknown", description="For a cable sheath that belongs to somebody else: has the owner agreed to a bond?"
    )
    earthing: EarthingOfMetal = Field("unknown", description=ON_OF_METAL)
    left_out_by_agreement: YesNo = Field("unknown", description="Was it agreed with the customer that this is not inspected?")
    bonds: Bonds | Unknown = Field("unknown", description="Bonding conductors found on it; an empty list says that none were found.")
    measurements: Measurements = Field((), description="Readings taken on it.")
    told: ToldOfItem = Field(default_factory=dict, description=TOLD)


class ConnectionReading(Described):
    """A reading that may show metal of a room to be connected to the main bonding."""

    reading: Reading = Field(
        "unknown", description="What a continuity tester showed, leads nulled; of several, the largest.", examples=["0.3 ohm"]
    )
    to: Literal["main_earthing_terminal", "bonded_pipe", "circuit_protective_conductor", "unknown"] = Field(
        "unknown", description="Where the other lead was. A circuit protective conductor shows no connection of the metal itself."
    )
    protective_conductors: Literal["none", "parted", "on", "cannot_be_parted", "unknown"] = Field(
        "unknown",
        description="Protective conductors of appliances on this metal (boiler, pump, heater, towel rail) during the reading: it has none,"
        " they were parted, they were on, or they cannot practicably be parted.",
    )
    isolated: YesNo = Field("unknown", description="Was the whole installation isolated and proved dead during the reading?")


class InRoom(Described):
    """What is asked of any metal in a room: can it be touched, and how is it shown to be connected to the main bonding."""

    accessible: YesNo = Field("unknown", description="Can its metal be touched in the room?")
    continuous_with_bonded_pipe: YesNo = Field(
        "unknown", description="Was its metal seen, over its whole run and with no plastic in it, to go on to a pipe that is bonded?"
    )
    connection: ConnectionReading = Field(
        default_factory=cache(lambda: ConnectionReading()), description="A reading from it in this room; it speaks for this room only."
    )


class RoomItem(Item, InRoom):
    """A piece of metalwork in a room with a bath or shower."""


class RoomService(InRoom):
    """A described service whose metal shows in a room."""

    kind: ServiceKind = Field(description="Which kind of service.")
    service: LeftOut[Id] = Field(
        None, description="Which described service, by its id; left out, every described service of this kind is meant."
    )
    length: Literal["entering_pipe", "inside_pipe", "beyond_hidden", "unknown"] | Id = Field(
        "unknown",
        description="Which length of it shows in the room: of the short form its name, of the detailed form the id of the section."
        " Unknown counts as any.",
        examples=["inside_pipe"],
    )
    told: ToldOfService = Field(default_factory=dict, description=TOLD)


class Device(Described):
    """The device that disconnects a circuit."""

    type: DeviceType = Field(
        "unknown",
        description="Type of a circuit-breaker or combined device, or the standard of a fuse: bs88_gg for BS 88-2 and for a gG fuse whose"
        " marking was not read, bs88_gg_1988 for BS 88-2.2 and BS 88-6.",
    )
    rated_a: Rating = Field("unknown", description="Rated current in amperes.")


class Circuit(Described):
    """A circuit that supplies equipment in a room with a bath or shower."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    measure: Measure = Field("unknown", description="Protective measure against electric shock.")
    disconnection_met: YesNo = Field("unknown", description="Is the disconnection time of the regulations met?")
    rcd: Rcd = Field("unknown", description="Residual current device on it.")
    rcd_tested: YesNo = Field("unknown", description="Was the device tested and found good, not only labelled?")
    device: Device = Field(default_factory=cache(lambda: Device()), description="Its overcurrent device.")
    cpc: Size = Field("unknown", description="Cross-section of its protective conductor in mm².")
    earthing: EarthingOf = Field("unknown", description=ON)
    told: ToldOfCircuit = Field(default_factory=dict, description=TOLD)


class SupplementaryBonding(Described):
    """The supplementary bonding found in a location."""

    present: YesNo = Field("unknown", description="Are the parts that can be touched together joined by bonding conductors?")
    resistance: Reading = Field("unknown", description="The largest resistance measured between such parts.", examples=["0.05 ohm"])


class Location(Described):
    """A room that contains a bath or shower, or another location in which a circuit may not disconnect in time."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    kind: LocationKind = Field(
        "unknown",
        description="What kind of location it is. The special locations of the standard have names of their own; `other` is deprecated."
        " What the rule pack has no rules for is not judged, `other` and `unknown` among it.",
    )
    earthing: EarthingOf = Field("unknown", description=f"{ON} It speaks for every circuit of the location.")
    services: Annotated[tuple[RoomService, ...], Field(max_length=12)] | Unknown = Field(
        "unknown", description="Services whose metal shows in the room; an empty list says none."
    )
    items: Annotated[tuple[RoomItem, ...], Field(max_length=50)] | Unknown = Field(
        "unknown", description="Other metalwork in the room, equipment cases included; an empty list says none."
    )
    circuits: Annotated[tuple[Circuit, ...], Field(max_length=50)] | Unknown = Field(
        "unknown", description="Every circuit that serves the room; an empty list says none."
    )
    supplementary_bonding: SupplementaryBonding = Field(
        default_factory=cache(lambda: SupplementaryBonding()), description="Supplementary bonding that was found."
    )
    bonding_protected: YesNo = Field("unknown", description="Will supplementary bonding run sheathed or mechanically protected?")
    told: ToldOfLocation = Field(default_factory=dict, description=TOLD)
