"""Reading a description from bytes: a document of the schema, in which no id names two things of the same kind."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Annotated

from pydantic import TypeAdapter, ValidationError

from bondwright.errors import Contradiction, NotJson
from bondwright.installation.description import Installation
from bondwright.installation.documents import Place, in_order, pointer, read_document, strict_json
from bondwright.installation.terms import Terms


def read_installation(raw: bytes, terms: Terms) -> Installation:
    """The description that `raw` holds as one JSON document in UTF-8, in those terms.

    Raises: NotJson, also for a key given twice, a byte-order mark, NaN or deep nesting; NotTheSchema, with one fault per place;
    Contradiction, if one id names two things of the same kind.
    """
    installation, document = read_document(raw, Installation, terms)
    if twice := _ids_given_twice(document):
        raise Contradiction(in_order(twice))
    return installation


def reference_apart(raw: bytes) -> tuple[str, dict[str, object]] | None:
    """The reference of a description, and all else that it says.

    None where no document can be read, or where its reference may not be one; the rest may still be no description.
    """
    try:
        document = strict_json(raw)
        if not isinstance(document, dict):
            return None
        return _REFERENCE.validate_python(document.pop("reference", ""), strict=True), document
    except (NotJson, ValidationError):
        return None


_REFERENCE = TypeAdapter[str](Annotated[str, *Installation.model_fields["reference"].metadata])


def _ids_given_twice(document: object) -> dict[Place, Callable[[], str]]:
    details: dict[Place, Callable[[], str]] = {}
    first: dict[tuple[Place, str], Place] = {}
    for place, name in _ids((), document):
        holder = first.setdefault((_family(place), name), place)
        if holder is not place:
            details[(*place, "id")] = partial("{} has this id; give each its own, or leave it out".format, pointer(holder))
    return details


def _ids(place: Place, value: object) -> Iterator[tuple[Place, str]]:
    """Every id in `value`, which stands at `place`, with the place of the thing that it names."""
    match value:
        case dict():
            if isinstance(name := value.get("id"), str):
                yield place, name
            for key, inner in value.items():
                if isinstance(inner, dict | list):
                    yield from _ids((*place, key), inner)
        case list():
            for index, inner in enumerate(value):
                if isinstance(inner, dict | list):
                    yield from _ids((*place, index), inner)


def _family(place: Place) -> Place:
    """Where ids must differ from that of the thing at `place`: the document for parts and rooms, the service for its lengths."""
    match place[-2]:
        case "services" | "detailed_services" | "items" | "locations":
            return ()
        case "sections":
            return place[:2]
    return place[:-1]
