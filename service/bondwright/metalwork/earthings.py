"""Which earthing metal is on, as contacts of its lengths with that earthing: so metal that joins two of them is found as any other path."""

from collections.abc import Mapping

from bondwright.installation.description import Installation
from bondwright.installation.earthings import MORE_THAN_ONE, SUPPLY
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known, OfEarthing
from bondwright.metalwork.keys import gap
from bondwright.metalwork.notes import SurveyNotes
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.pack import RulePack

ON_OTHER = "on_other_earthing"
"""The fact of a part that it is on a further earthing, and the question behind it."""


def named_by(location: Location) -> str:
    """The earthing that a location is on, `supply` or an id: as it says, or as each of its circuits does; else unknown."""
    if location.earthing != UNKNOWN or isinstance(location.circuits, str):
        return location.earthing
    named = {circuit.earthing for circuit in location.circuits}
    return named.pop() if len(named) == 1 else UNKNOWN


def note_earthings(notes: SurveyNotes, installation: Installation, named: Mapping[str, tuple[str, str]], pack: RulePack) -> None:
    """Write down which earthing each length is on. `named`: of each service and item, by name, its place and the earthing that it names.

    Metal that names none may be on any, until all that is on a further one is said to name it; in a location it is on the one that the
    location names, and may be on the others as well until then. Metal that runs from one to another joins all of them. For a pack
    without rules for metal on a further earthing that one is an earthing meant to be separate, as it is.
    """
    if not installation.earthings:
        return
    for node, length in notes.lengths.items():
        pointer, on = named[length.belongs_to]
        others: Known = "no"
        if on == UNKNOWN:
            on, others = _of_its_location(installation, pointer)
        for earthing in (SUPPLY, *(one.id for one in installation.earthings)):
            touches: Known = "yes" if on in (earthing, MORE_THAN_ONE) else others
            if ON_OTHER in pack.facts:
                notes.touch(node, OfEarthing(earthing), touches, gap(ON_OTHER, f"{pointer}/earthing"))
            elif earthing != SUPPLY:
                notes.touch(node, "other_earthing_system", touches)


def _of_its_location(installation: Installation, pointer: str) -> tuple[str, Known]:
    """The earthing of metal that names none, and whether it is on the others too.

    It is on that of the supply alone only where nothing on a further one fails to name it.
    """
    _, collection, index, *_ = pointer.split("/")
    place = named_by(installation.locations[int(index)]) if collection == "locations" else SUPPLY
    all_named = all(one.all_named == "yes" for one in installation.earthings)
    on = place if all_named or place != SUPPLY else UNKNOWN
    return on, "no" if all_named and on != UNKNOWN else "unknown"
