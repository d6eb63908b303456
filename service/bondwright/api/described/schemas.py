"""The schemas of what routes answer, worked out once a process: the framework asks for each again at every route that names it."""

from pydantic import TypeAdapter

from bondwright.members import Described, described_as

_SCHEMA = "__pydantic_core_schema__"
"""Where pydantic looks for the schema of a class before it works one out."""


def keep_schemas(*kinds: type) -> None:
    """Has pydantic keep the schemas of these kinds, those inside others first: most of the time of making the application."""
    for kind in (described_as(kind) if issubclass(kind, Described) else kind for kind in kinds):
        if _SCHEMA not in kind.__dict__:
            setattr(kind, _SCHEMA, TypeAdapter(kind).core_schema)
