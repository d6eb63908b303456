"""Reading a JSON document from bytes into a model: strictly, with one fault per place, in our own words.

A fault says where and what would be right. It never repeats what the caller wrote. A wrong key is named by its pointer if it is
nearly one of ours; of any other, the pointer shows the object that holds it.
"""

import re
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from functools import lru_cache, partial
from typing import Any, TypeAlias, TypeVar

import jiter
from msgspec import Struct
from pydantic import BaseModel, ValidationError

from bondwright.errors import Fault, NotJson, NotTheSchema
from bondwright.installation.shapes import MOST_KEPT, json_schema, validator
from bondwright.installation.terms import NO_TERMS, Terms
from bondwright.installation.wishes import Schemas, listed, unit_after, wish, would_be_right

MOST_FAULTS = 100
"""No refusal lists more faults than this; the last one then says that there are more."""

LONGEST_KEY = 60
"""A longer unknown key is compared with none of ours."""

_SOME_KEY = ""
"""Stands in a place for an unknown key that is not named; it comes before every other key."""

Place: TypeAlias = tuple[str | int, ...]
"""The steps from the whole document to one value: keys and indexes."""

Model = TypeVar("Model", bound=BaseModel)

IN_OUR_WORDS = "in_our_words"
"""Kind of a fault that a model words itself, for a mistake that its schema alone would not explain."""

_NOT_JSON = (
    ("Detected duplicate key", "this key is given twice in one object; give it once"),
    ("recursion limit", "nested too deeply; a description needs fewer than 20 levels"),
    ("trailing characters", "something follows the end of the document; send one document"),
    ("EOF", "the document ends too early"),
    ("invalid unicode", "not UTF-8 text; send UTF-8"),
    ("unexpected end of hex escape", "half of a surrogate pair; write the whole character"),
    ("lone leading surrogate", "half of a surrogate pair; write the whole character"),
    ("number out of range", "a number with far too many digits"),
    ("invalid number", "not a number as JSON writes it, such as `0.5`, `-1` or `1e3`"),
    ("control character", "a control character inside text; write it as an escape"),
    ("trailing comma", "a comma with nothing after it; leave it out"),
    ("invalid escape", "no escape that JSON knows"),
    ("expected value", "a JSON value is expected; NaN, Infinity and comments are none"),
)


def read_document(raw: bytes, model: type[Model], terms: Terms = NO_TERMS) -> tuple[Model, object]:
    """What `raw` holds as one JSON document in UTF-8: read into `model` in those terms, and as it stands.

    Raises: NotJson, also for a key given twice, a byte-order mark, NaN or deep nesting; NotTheSchema, with one fault per place.
    """
    document = strict_json(raw)
    try:
        read: Model = validator(model, terms).validate_python(document)
    except ValidationError as error:
        faults = _faults_of(error, _Schema.of(model, terms))
    else:
        return read, document
    # Raised outside the handler, so that no traceback carries the caller's values along.
    raise NotTheSchema(faults)


def pointer(place: Place) -> str:
    """The place as a JSON Pointer (RFC 6901)."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in place)


def strict_json(raw: bytes) -> object:
    """The one JSON document in UTF-8 that `raw` holds.

    Raises: NotJson, also for a key given twice, a byte-order mark, NaN or deep nesting.
    """
    if raw.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise NotJson((Fault("", "a byte-order mark stands before the document; send UTF-8 without one"),))
    try:
        return jiter.from_json(raw, catch_duplicate_keys=True, allow_inf_nan=False)
    except ValueError as error:
        detail = _not_json(str(error))
    raise NotJson((Fault("", detail),))


def _not_json(said: str) -> str:
    ours = next((ours for theirs, ours in _NOT_JSON if said.startswith(theirs)), "not JSON; send one JSON document in UTF-8")
    found = re.search(r"at line (\d+) column (\d+)$", said)
    return f"line {found[1]}, column {found[2]}: {ours}" if found else ours


def _faults_of(error: ValidationError, schema: "_Schema") -> tuple[Fault, ...]:
    """One fault per place. A place inside which something else is wrong is left out: only another branch of a union spoke there."""
    details: dict[Place, Callable[[], str]] = {}
    # A megabyte of unknown keys is 90,000 errors: wording the first thousand takes 0.2 s, all of them 0.8 s (2026).
    for wrong in error.errors(include_url=False)[: 10 * MOST_FAULTS]:
        kind, loc, given = wrong["type"], wrong["loc"], wrong["input"]
        if kind in ("union_tag_invalid", "union_tag_not_found"):
            tag = wrong["ctx"]["discriminator"].strip("'")
            kind, loc, given = ("missing" if tag not in given else kind), (*loc, tag), given.get(tag)
        place, schemas, unknown_key = _resolved(loc, kind, schema)
        if kind == IN_OUR_WORDS:
            details.setdefault(place, partial(str, wrong["msg"]))
            continue
        wish = partial(would_be_right, kind, given, schemas) if unknown_key is None else partial(_unknown_key, unknown_key, schemas)
        details.setdefault(place, wish)
    return in_order(details)


def _resolved(loc: Place, kind: str, schema: "_Schema") -> tuple[Place, Schemas, str | None]:
    """The place that pydantic's `loc` means in the received document, what may stand there, and the last step if no key is called so.

    `loc` also names the branches of unions. They are told from keys by the schema, since the caller may use any word as a key.
    """
    place: list[str | int] = []
    schemas: Schemas = schema.alternatives(schema.root)
    for number, step in enumerate(loc, start=1):
        if inner := schema.inside(schemas, step):
            place.append(step)
            schemas = inner
        elif kind == "extra_forbidden" and number == len(loc):
            key = str(step)
            return (*place, key if _close(key, schemas) else _SOME_KEY), schemas, key
    return tuple(place), schemas, None


class _Schema(Struct, frozen=True):
    """The JSON Schema of a model, whose references lead within it."""

    root: Mapping[str, Any]

    @staticmethod
    @lru_cache(maxsize=MOST_KEPT)
    def of(model: type[BaseModel], terms: Terms) -> "_Schema":
        """That of a model in those terms."""
        return _Schema(json_schema(model, terms))

    def alternatives(self, schema: Mapping[str, Any]) -> list[Mapping[str, Any]]:
        """The schemas without union or reference that `schema` offers."""
        if "$ref" in schema:
            return self.alternatives(self.root["$defs"][schema["$ref"].rsplit("/", 1)[1]])
        members = schema.get("anyOf") or schema.get("oneOf")
        return [inner for member in members for inner in self.alternatives(member)] if members else [schema]

    def inside(self, schemas: Schemas, step: str | int) -> list[Mapping[str, Any]]:
        """The schemas of what stands one step inside; none if no key is called so."""
        if isinstance(step, int):
            return [inner for schema in schemas if "items" in schema for inner in self.alternatives(schema["items"])]
        return [inner for schema in schemas if step in _keys([schema]) for inner in self.alternatives(schema["properties"][step])]


def _keys(schemas: Schemas) -> list[str]:
    return [key for schema in schemas for key in schema.get("properties", ())]


def _close(key: str, schemas: Schemas) -> str | None:
    """The known key that an unknown one is nearly."""
    return next(iter(get_close_matches(key, _known(schemas), n=1)), None) if len(key) <= LONGEST_KEY else None


def _known(schemas: Schemas) -> list[str]:
    return list(dict.fromkeys(_keys(schemas)))


def _unknown_key(key: str, schemas: Schemas) -> str:
    close = _close(key, schemas)
    if close is None:
        return f"holds an unknown key; known here are {listed(known)}" if (known := _known(schemas)) else "holds a key; none is known here"
    return f"unknown key; did you mean `{close}`?{unit_after(key, close)}"


def wish_of(model: type[BaseModel], name: str, terms: Terms = NO_TERMS) -> str:
    """What may stand at a member of a model in those terms, in words."""
    schema = _Schema.of(model, terms)
    return wish(schema.inside(schema.alternatives(schema.root), name))


def in_order(details: Mapping[Place, Callable[[], str]]) -> tuple[Fault, ...]:
    """The faults by place, at most MOST_FAULTS of them; only those are put into words."""
    places = sorted(details)
    # INVARIANT: in this order whatever lies inside a place follows it directly.
    inmost = [place for place, after in zip(places, [*places[1:], ()], strict=True) if after[: len(place)] != place or after == place]
    faults = [Fault(pointer(place[:-1] if place[-1:] == (_SOME_KEY,) else place), details[place]()) for place in inmost[:MOST_FAULTS]]
    if len(inmost) > len(faults):
        faults.append(Fault("", "more faults follow that are not listed"))
    return tuple(faults)
