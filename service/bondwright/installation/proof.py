"""What was found on metalwork: existing bonds and readings."""

from typing import Annotated, Literal

from pydantic import Field

from bondwright.installation.words import ConductorMetal, Described, Id, LeftOut, Length, Path, Reading, ReadingTo, Size, YesNo


class Bond(Described):
    """A bonding conductor found on this piece of metalwork."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    connected_to: Literal[
        "main_earthing_terminal", "consumer_unit_earth_bar", "other_metalwork", "protective_conductor", "nothing", "unknown"
    ] = Field("unknown", description="Where the other end goes. A pipe or a circuit protective conductor is not a main bond's place.")
    size: Size = Field("unknown", description="Cross-section in mm², or an old imperial size.", examples=[10, "7/.044"])
    material: ConductorMetal = Field("unknown", description="Metal of the conductor.")
    length_m: Length = Field("unknown", description="Length of the conductor in metres, as well as it can be judged.")
    continuity: Reading = Field("unknown", description="Measured from end to end of the bond, leads nulled.", examples=["0.04 ohm"])
    continuity_parted: YesNo = Field("unknown", description="Was one end of the bond disconnected during that measurement?")
    joint: Literal["sound", "loose", "corroded", "heat_damaged", "unknown"] = Field("unknown", description="State of the clamp or joint.")
    accessible: YesNo = Field("unknown", description="Can the connection be reached for inspection?")
    labelled: YesNo = Field("unknown", description="Is there a warning label at the connection?")
    from_meter_m: Length = Field("unknown", description="Metres of pipe from the meter outlet to the connection.")
    before_first_branch: YesNo = Field("unknown", description="Is the connection before the first branch of the pipe?")
    closer_place_practicable: YesNo = Field("unknown", description="Could the connection practicably have been nearer the point of entry?")


class Measurement(Described):
    """A resistance reading between this piece of metalwork and the earth of the installation."""

    id: LeftOut[Id] = Field(None, description="Your own name for it; left out, its place in the document is its name.")
    reading: Reading = Field("unknown", description="What the instrument showed, with its sign and unit.", examples=["150 kohm", ">999 MΩ"])
    to: ReadingTo = Field(
        "unknown",
        description="Where the other lead was. A terminal whose earthing conductor is off may float and read falsely high.",
    )
    own_bond: Path = Field("unknown", description="This metalwork's own bond during the reading: it has none, it was parted, or it was on.")
    protective_conductors: Path = Field(
        "unknown", description="Appliances with a protective conductor on this metalwork (boiler, pump): none, parted, or on."
    )
    pipe_filled: YesNo = Field("unknown", description="Was a pipe that carries water full of water?")
    surroundings_wet: YesNo = Field("unknown", description="Was soil or concrete that touches it wet, as in the worst season?")


Bonds = Annotated[tuple[Bond, ...], Field(max_length=20)]
Measurements = Annotated[tuple[Measurement, ...], Field(max_length=20)]
