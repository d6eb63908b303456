"""Where a service comes from, as contacts of the length that enters."""

from bondwright.installation.services import ServiceFrame
from bondwright.metalwork.forms.tables import Tables
from bondwright.metalwork.graph import Known, Source
from bondwright.metalwork.keys import gap, of_metal
from bondwright.metalwork.known import both
from bondwright.metalwork.notes import SurveyNotes

_EARTHINGS: tuple[tuple[Source, str], ...] = (("other_earthing_system", "other_earthing"), ("mixed_earthing", "mixed_earthing"))
"""The earthings that metal from outside may be tied to, and the column that says it."""


def touch_origin(
    notes: SurveyNotes, tables: Tables, service: ServiceFrame, pointer: str, node: str, material: str, made_of: str | None
) -> None:
    """Write down what the entering length brings in: ground, another installation's earth, another earthing system.

    `made_of`: the key of the question what it is made of, where that is open.
    """
    touches = tables.ask("materials", material, "touches")
    asks = gap("comes_from", f"{pointer}/comes_from", service.comes_from)
    ground, shared = (tables.ask("origins", service.comes_from, column) for column in ("ground", "other_installation"))
    notes.touch(node, "ground", both(touches, ground), *of_metal(ground, asks, made_of))
    conducts = tables.ask("materials", material, "conducts")
    notes.touch(node, "other_installation", both(conducts, shared), *of_metal(shared, asks, made_of))
    for source, column in _EARTHINGS:
        tied, question = _earthing(tables, service, pointer, column)
        notes.touch(node, source, both(conducts, tied), *of_metal(tied, question, made_of))


def in_soil_at_entry(tables: Tables, service: ServiceFrame) -> Known:
    """Whether the entering length may lie in soil."""
    return tables.ask("origins", service.comes_from, "ground")


def touch_protective_conductor(notes: SurveyNotes, service: ServiceFrame, pointer: str, nodes: tuple[str, ...]) -> None:
    """Write down that a protective conductor may be joined to any of `nodes`."""
    for node in nodes:
        value: Known = service.protective_conductor
        notes.touch(node, "protective_conductor", value, gap("protective_conductor", f"{pointer}/protective_conductor", value))


def _earthing(tables: Tables, service: ServiceFrame, pointer: str, column: str) -> tuple[Known, str | None]:
    """Whether the entering length is tied to an earthing of that column, and the question; no where the pack has no such column."""
    if tables.word("origins", service.comes_from, column) == "far_end":
        question = gap("far_end_earthing", f"{pointer}/far_end_earthing", service.far_end_earthing)
        return tables.ask("far_ends", service.far_end_earthing, column), question
    return tables.ask("origins", service.comes_from, column), gap("comes_from", f"{pointer}/comes_from", service.comes_from)
