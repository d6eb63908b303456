"""Places in an OpenAPI document: a value, with the JSON Pointer that leads to it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

Json = Any
Document = dict[str, Any]

_NAMED_SCHEMA = re.compile(r'"#/components/schemas/([^"/]+)"')


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A value in `document`; a place that is not there holds None."""

    document: Document
    pointer: str
    value: Json

    def at(self, *keys: str | int) -> "Place":
        """The place under these keys."""
        pointer, value = self.pointer, self.value
        for key in keys:
            pointer = f"{pointer}/{_escaped(key)}"
            if isinstance(value, list) and isinstance(key, int) and key < len(value):
                value = value[key]
            else:
                value = value.get(key) if isinstance(value, dict) else None
        return Place(self.document, pointer, value)

    def members(self) -> Iterator[tuple[str, "Place"]]:
        """Each member of an object with its name; none, if it is no object."""
        for name in self.value if isinstance(self.value, dict) else ():
            yield name, self.at(name)

    def resolved(self) -> "Place":
        """Where a reference leads, in the end; what stands beside the reference is not looked at."""
        if not isinstance(self.value, dict) or not isinstance(self.value.get("$ref"), str):
            return self
        keys = [key.replace("~1", "/").replace("~0", "~") for key in self.value["$ref"].removeprefix("#/").split("/")]
        return whole(self.document).at(*keys).resolved()


@cache
def _escaped(key: str | int) -> str:
    return str(key).replace("~", "~0").replace("/", "~1")


def whole(document: Document) -> Place:
    """The document itself."""
    return Place(document, "", document)


def references(text: str) -> set[str]:
    """Names of the schemas that JSON text refers to."""
    return set(_NAMED_SCHEMA.findall(text))
