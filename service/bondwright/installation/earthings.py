"""Earthings of an installation besides that of its supply, and what may tie the two together."""

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from bondwright.installation.words import Described, Id, Reading, Unknown, YesNo

SUPPLY = "supply"
MORE_THAN_ONE = "more_than_one"
EarthingOf: TypeAlias = Literal["supply", "unknown"] | Id
"""Which earthing something is on: that of the supply, or one of the further earthings by its id."""
EarthingOfMetal: TypeAlias = Literal["supply", "more_than_one", "unknown"] | Id
"""The same of metalwork, which may also run from one earthing to another."""
ON = "Which earthing it is on: `supply`, or the id of one of `earthings`."
ON_OF_METAL = (
    f"{ON} `more_than_one`: its metal runs from one to another, as a water pipe from a house to a barn on its own rod."
    " Every length of it then counts as joining all of them. Once an insulating length parts it, describe each side as a thing of its own."
)


class EarthingTie(Described):
    """A conductor or other metal that may tie a further earthing to the earthing of the supply."""

    kind: Literal["protective_conductor", "armour", "pipe", "structure", "bond", "other", "unknown"] = Field(
        "unknown", description="What it is."
    )
    parted: YesNo = Field(
        "unknown",
        description="Is it parted for good: the armour ends insulated on one side, or an insulating length in the pipe whose two sides"
        " nobody can touch together?",
    )
    carries_fault_current: YesNo = Field(
        "unknown", description="Is it shown to be able to carry the fault current of both earthings, and the neutral current of the supply?"
    )


class Earthing(Described):
    """An earthing besides that of the supply: an electrode or a source of its own for a charger, a milking place, an outbuilding.

    An electrode that is joined to the main earthing terminal in addition is none.
    """

    id: Id = Field(description="Your own name for it, by which what is on it names it.")
    rests_on: Literal["electrode", "own_source", "unknown"] = Field(
        "unknown", description="What it rests on: an earth electrode, or a transformer or generator of its own with an earthed neutral."
    )
    all_named: YesNo = Field(
        "unknown",
        description="Does everything that is on it name it: each circuit, location, service and item? Metal that names none is then on that"
        " of the supply.",
    )
    ties: Annotated[tuple[EarthingTie, ...], Field(max_length=10)] | Unknown = Field(
        "unknown", description="What joins it, or may join it, to the earthing of the supply; an empty list says nothing does."
    )
    touchable_with_other: YesNo = Field(
        "unknown", description="Can metal that is on it be touched together with metal on another earthing (within about 2.5 m)?"
    )
    electrode_resistance: Reading = Field(
        "unknown", description="Resistance of its electrode, measured with every tie parted.", examples=["60 ohm"]
    )
    rcd_rating_ma: Annotated[float, Field(ge=1, le=30000)] | Unknown = Field(
        "unknown", description="Rated residual operating current in mA of the device that protects what is on it.", examples=[30]
    )
    rcd_tested: YesNo = Field("unknown", description="Was that device tested and found good, not only labelled?")
