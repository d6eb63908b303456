"""The schemas of answers as they are written: what stands once in a table, and the places that point to it."""

from collections.abc import Iterator
from dataclasses import MISSING, fields
from typing import Any, TypeAlias

from pydantic import TypeAdapter

from bondwright.compose.answer import FORM, Evaluation
from bondwright.compose.written import shapes
from bondwright.compose.written.members import TABLES, Member, members_of, shapes_in

Schema: TypeAlias = dict[str, Any]

TABLE = "x-table"
"""Keyword of a number that is a place: the table of the evaluation, from 0, in which that stands to which it points."""
EARLIER = "EarlierEvaluation"
"""What the document calls answers of earlier forms."""

_REF = "#/components/schemas/{model}"
_ROWS = {
    "verdicts": shapes.Verdict,
    "sizes": shapes.SizeVerdict,
    "reasons": shapes.Reason,
    "questions": shapes.Question,
    "sentences": shapes.Sentence,
}
_POINT_TO = {"because": "reasons", "questions": "questions", "could_relax": "questions"}


def written_answers() -> dict[str, Schema]:
    """The schemas of all that stands in an answer of today's form, and what stands for those of earlier ones."""
    found = _shapes()
    for table, shape in _ROWS.items():
        found |= _row(shape)
        found[Evaluation.__name__]["properties"][table] = {"type": "array", "items": {"$ref": _REF.format(model=shape.__name__)}}
    found[Evaluation.__name__]["required"] += _ROWS
    found[Evaluation.__name__]["properties"]["form"] = {"type": "integer", "enum": [FORM]}
    found[EARLIER] = {
        "type": "object",
        "title": EARLIER,
        "description": "An answer that was recorded when answers had an earlier form, as it was given then.",
        "properties": {"form": {"type": "integer", "enum": [*range(2, FORM)]}, "reference": {"type": "string"}},
        "required": ["reference"],
        "additionalProperties": True,
    }
    return found


def say_tables(schemas: dict[str, Schema]) -> None:
    """Says of each place in which table it is."""
    for schema in schemas.values():
        for member in schema.get("properties", {}).values():
            for table in _tables(member):
                member["description"] = f"{member['description']} {'Places' if 'items' in member else 'Its place'} in `{table}`."


def either_form(schemas: dict[str, Schema]) -> None:
    """Wherever an evaluation stands, one of an earlier form may; nothing but `form` tells which."""
    now, then = ({"$ref": _REF.format(model=name)} for name in (Evaluation.__name__, EARLIER))
    for schema in schemas.values():
        for name, member in schema.get("properties", {}).items():
            if now in (member, *member.get("anyOf", ())):
                others = [one for one in member.get("anyOf", ()) if one != now]
                said = {"description": member["description"]} if "description" in member else {}
                schema["properties"][name] = {"anyOf": [now, then, *others], **said}


def _shapes() -> dict[str, Schema]:
    """Those that stand in their places."""
    whole = TypeAdapter(Evaluation).json_schema(ref_template=_REF, mode="serialization")
    schemas: dict[str, Schema] = {**whole.pop("$defs"), Evaluation.__name__: whole}
    found = {}
    for shape in shapes_in(Evaluation):
        if shape in TABLES:
            continue
        schema = schemas[shape.__name__]
        schema["properties"] = {one.name: _property(one, schema["properties"][one.name]) for one in members_of(shape)}
        schema["required"] = [one.name for one in members_of(shape) if not one.may_lack]
        found[shape.__name__] = schema
    return found


def _property(member: Member, schema: Schema) -> Schema:
    schema.pop("default", None)
    if member.table is None:
        return _without_null(schema)
    place = _place(member.table)
    return {"type": "array", "items": place} if member.many else place


def _row(shape: type) -> dict[str, Schema]:
    whole = TypeAdapter(shape).json_schema(ref_template=_REF, mode="serialization")
    found: dict[str, Schema] = {**whole.pop("$defs", {}), shape.__name__: whole}
    for name, schema in found.items():
        schema["properties"] = {
            member: {"type": "array", "items": _place(_POINT_TO[member])} if member in _POINT_TO else _without_null(held)
            for member, held in schema["properties"].items()
        }
        own = getattr(shapes, name)
        schema["required"] = [field.name for field in fields(own) if field.default is MISSING]
    return found


def _place(table: str) -> Schema:
    return {"type": "integer", "minimum": 0, TABLE: table}


def _tables(member: Schema) -> Iterator[str]:
    for one in (member, member.get("items", {})):
        if TABLE in one:
            yield one[TABLE]


def _without_null(schema: Schema) -> Schema:
    """The same schema of a member that is left out where it is nothing, never null."""
    schema.pop("default", None)
    left = [one for one in schema.get("anyOf", ()) if one != {"type": "null"}]
    if len(left) != 1:
        return schema
    return {**{key: value for key, value in schema.items() if key != "anyOf"}, **left[0]}
