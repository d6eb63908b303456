"""What packs call things that the service asks for by what they are, and what those are read with that do not say so."""

from collections.abc import Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Any, Final

from bondwright.rulebook.held import Roles
from bondwright.shelf.declared.declaration import DECLARING
from bondwright.shelf.folder import rules_folder
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.nodes import Node, read_nodes
from bondwright.shelf.reading.scalars import as_map, one_of, text
from bondwright.shelf.reading.scalars import fields as read_fields
from bondwright.shelf.reading.vocabulary import read_properties

UNDECLARED_NAMES: Final = "undeclared-names.yaml"
"""The file in the folder of rules of what packs of formats before the fourth do not say themselves."""
SECTION: Final = "roles"

_ROLES = tuple(field.name for field in fields(Roles))


def read_names(sections: Mapping[str, Node], outcomes: tuple[str, ...], form: int) -> dict[str, Any]:
    """The roles of a pack with these outcomes, its own where it tells them, and what its tables are read with, as RulePack names them."""
    older = _undeclared_names() if form < DECLARING else {"roles": Roles(), "undeclared": {}}
    if SECTION not in sections:
        return older
    entries = read_fields(sections[SECTION], f"`{SECTION}`", (), _ROLES)
    return {**older, "roles": Roles(**{role: one_of(entry, outcomes, "outcome") for role, entry in entries.items()})}


def read_undeclared_names(node: Node) -> dict[str, Any]:
    """What the file says, in the same way. Raises: UnreadableRules."""
    sections = read_fields(node, f"file `{UNDECLARED_NAMES}`", (SECTION, "properties"))
    roles = read_fields(as_map(sections[SECTION], f"`{SECTION}`"), f"`{SECTION}`", (), _ROLES)
    told = Roles(**{role: text(entry, "an outcome") for role, entry in roles.items()})
    return {"roles": told, "undeclared": read_properties(sections["properties"])}


@lru_cache(maxsize=1)
def _undeclared_names() -> dict[str, Any]:
    return read_undeclared_names(read_nodes(file_bytes(rules_folder() / UNDECLARED_NAMES, UNDECLARED_NAMES), UNDECLARED_NAMES))
