"""The installation description: what a caller sends."""

from functools import cache
from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from bondwright.installation.earthings import Earthing
from bondwright.installation.rooms import Item, Location
from bondwright.installation.services import DetailedService, Service
from bondwright.installation.words import ConductorMetal, Day, Described, LeftOut, PremisesKind, Rating, Size, Unknown, YesNo


class DesignedWork(Described):
    """Work that is designed to an edition of the rules."""

    kind: Literal["new_installation", "addition", "alteration", "consumer_unit_change"] = Field(description="What the work is.")
    designed_on: Day = Field(description="Day of the design; it decides which edition applies.", examples=["2026-11-25"])


class InspectedWork(Described):
    """An inspection of what is there, judged by the edition current on its day."""

    kind: Literal["inspection"] = Field(description="What the work is.")
    inspected_on: Day = Field(description="Day of the inspection; it decides which edition applies.", examples=["2026-11-25"])


Work: TypeAlias = Annotated[DesignedWork | InspectedWork, Field(discriminator="kind")]


class Conductor(Described):
    """A conductor of the supply."""

    size: Size = Field("unknown", description="Cross-section in mm², or an old imperial size.", examples=[25])
    material: ConductorMetal = Field("unknown", description="Metal of the conductor.")


class EarthingConductor(Described):
    """The conductor from the main earthing terminal to the means of earthing."""

    buried: YesNo = Field("unknown", description="Does any of it lie in the ground, as to an earth electrode?")
    protected_against_corrosion: YesNo = Field("unknown", description="Is the buried length protected against corrosion, as by a sheath?")
    protected_mechanically: YesNo = Field("unknown", description="Is the buried length protected against mechanical damage?")
    runs_separately: YesNo = Field(
        "unknown",
        description="Does any of it run on its own: in no cable, not formed by conduit, ducting or trunking, and in none of these?",
    )
    separate_length_protected: YesNo = Field(
        "unknown", description="Is all of it that runs on its own protected against mechanical damage?"
    )
    calculated_mm2: Annotated[float, Field(ge=0.1, le=1000)] | Unknown = Field(
        "unknown",
        description="Least size of copper in mm² that a calculation from fault current and time asks for; or give the three inputs below.",
        examples=[3.6],
    )
    fault_current_a: Annotated[float, Field(ge=0.1, le=100000)] | Unknown = Field(
        "unknown", description="Largest earth fault current at the origin in amperes, as measured or worked out.", examples=[720]
    )
    disconnection_time_s: Annotated[float, Field(ge=0.01, le=5)] | Unknown = Field(
        "unknown", description="Time in seconds in which the device upstream disconnects that current.", examples=[0.6]
    )
    k: Annotated[float, Field(ge=10, le=300)] | Unknown = Field(
        "unknown", description="Factor k of the copper earthing conductor with its insulation, in A·√s/mm².", examples=[143]
    )


class FurtherSupply(Described):
    """A further supply of the same installation, as a second main or a generator."""

    pme_conditions: Literal["apply", "do_not_apply", "unknown"] = Field("unknown", description="Do PME conditions apply to it?")
    neutral: Conductor = Field(default_factory=cache(lambda: Conductor()), description="Its neutral or PEN.")


class Feeder(Described):
    """The circuit that feeds these premises from another installation, as an outbuilding or a flat on the landlord's installation."""

    comes_from: Literal["landlords_installation", "another_building", "unknown"] = Field(
        "unknown", description="Whose installation it comes from."
    )
    earth: Literal["carried_over", "own_electrode", "not_used", "unknown"] = Field(
        "unknown", description="Does it carry the earth over, have the premises their own electrode, or is no earth used?"
    )
    electrode: Literal["only_earth", "additional", "unknown"] = Field(
        "unknown",
        description="Where there is an earth electrode here: is it the only earth, or added to an earth that the circuit carries over?",
    )
    shown_by_test: YesNo = Field(
        "unknown",
        description="Are all three shown by test: the electrode's resistance, its residual current device, and fault protection of the"
        " feeding circuit itself?",
    )
    carries_fault_current: YesNo = Field(
        "unknown", description="Is its protective conductor shown to be able to carry the fault current of both earthings?"
    )
    protective_conductors: Annotated[tuple[Conductor, ...], Field(max_length=4)] | Unknown = Field(
        "unknown",
        description="Its protective conductors connected at this end, in parallel, such as a core and a steel armour;"
        " an empty list says none.",
    )


class Supply(Described):
    """The supply and its earthing, as found at the origin."""

    earthing_system: Literal["TN-S", "TN-C-S", "TT", "IT", "unknown"] = Field("unknown", description="Type of earthing.")
    pme_conditions: Literal["apply", "do_not_apply", "unknown"] = Field(
        "unknown", description="Does the distributor say that protective multiple earthing conditions apply? TN-C-S alone does not say so."
    )
    phases: Literal["single", "three", "unknown"] = Field("unknown", description="Phases of the supply.")
    cut_out_rating_a: Rating = Field("unknown", description="Rating in amperes shown on the distributor's cut-out.", examples=[100])
    neutral: Conductor = Field(default_factory=cache(lambda: Conductor()), description="Neutral or PEN of the distributor's supply cable.")
    line_conductor: Conductor = Field(
        default_factory=cache(lambda: Conductor()), description="Line conductor of the consumer's meter tails."
    )
    earthing_conductor: EarthingConductor = Field(default_factory=cache(lambda: EarthingConductor()), description="The earthing conductor.")
    further_supplies: Annotated[tuple[FurtherSupply, ...], Field(max_length=10)] = Field((), description="Further supplies.")
    feeder: LeftOut[Feeder] = Field(
        None,
        description="The circuit that feeds these premises from another installation; left out, the distributor's service comes here."
        " The rest of the supply is then that of the installation it comes from.",
    )


class Installation(Described):
    """An electrical installation and its metalwork, as far as anybody knows. What is left out counts as unknown."""

    reference: Annotated[str, Field(pattern=r"^[ -~]{0,80}$")] = Field("", description="Your own reference; it changes nothing.")
    work: Work = Field(description="The work in hand and the date that chooses the edition.")
    premises: PremisesKind = Field(
        "unknown",
        description="What the premises are; unknown means an ordinary building. What the rule pack has no rules for is not judged.",
    )
    supply: Supply = Field(default_factory=cache(lambda: Supply()), description="The supply.")
    earthings: Annotated[tuple[Earthing, ...], Field(max_length=10)] = Field(
        (), description="Earthings besides that of the supply. Electrodes added to the main earthing terminal are none."
    )
    touch_current: Literal["10_mA", "30_mA", "not_chosen"] = Field(
        "not_chosen",
        description="The touch current on which the designer bases the test by reading; not chosen means the rule pack's default.",
    )
    touch_current_reason: YesNo = Field(
        "unknown", description="Has the designer recorded a reason for a touch current above the default, for a dry indoor place?"
    )
    shares_metal: YesNo = Field("unknown", description="Does the building share metal pipes or structure with another installation?")
    survey_complete: YesNo = Field("unknown", description="Does this description list every service and earthy metal part of the building?")
    services: Annotated[tuple[Service, ...], Field(max_length=50)] = Field((), description="Services, short form.")
    detailed_services: Annotated[tuple[DetailedService, ...], Field(max_length=50)] = Field((), description="Services, length by length.")
    items: Annotated[tuple[Item, ...], Field(max_length=100)] = Field((), description="Metalwork that is not a service.")
    locations: Annotated[tuple[Location, ...], Field(max_length=50)] = Field(
        (), description="Rooms with a bath or shower, and others in question."
    )
    rule_pack: Annotated[str, Field(pattern=r"^[a-z0-9-]{0,80}$")] = Field(
        "",
        description="Id or digest of the rule pack to judge by, in place of the one that the date of the work chooses; empty: none named.",
        examples=["iec60364-2017-r10"],
    )
