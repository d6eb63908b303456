"""Models of documents in given terms: each choice and each told fact that a model leaves open is filled in, once for all readings."""

from functools import lru_cache
from typing import Annotated, Any, Final, Literal, TypeAlias

from msgspec import Struct
from pydantic import BaseModel, Field, GetCoreSchemaHandler, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema
from pydantic_core import CoreSchema, SchemaValidator, core_schema

from bondwright.installation.terms import Terms, Thing, ToldFact

UNIT: Final = "x-unit"
"""Keyword of a schema that is a number: its unit."""
CHOICE_OF: Final = "x-choice-of"
"""Keyword of a schema whose words are those of the terms: what they are of."""
MOST_KEPT = 64
"""Models in terms that a process keeps: those of every request, in the terms of the packs that stand and of a few that do not."""

Schema: TypeAlias = dict[str, Any]

_OPEN: Final = "bondwright_open"
"""Key under which a schema notes what fills it in."""
_UNKNOWN = "unknown"
_AS_PEOPLE_WRITE = {"mm2": "mm²", "uS/cm": "µS/cm", "of one": ""}
_READ_ON_AN_INSTRUMENT = "ohm"


class Chosen(Struct, frozen=True):
    """Marks a choice whose words are those of the terms.

    `also`: words that may stand there in any terms, behind those; `never`: words that may not.
    """

    of: str
    also: tuple[str, ...] = ()
    never: tuple[str, ...] = ()

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Any word, to be filled in."""
        return core_schema.str_schema(metadata={_OPEN: self})

    def filled(self, terms: Terms) -> CoreSchema:
        """One of the words."""
        words = (word for word in terms.words(self.of) if word not in (*self.also, *self.never))
        return core_schema.literal_schema([*words, *self.also], metadata={"pydantic_js_updates": {CHOICE_OF: self.of}})


class Told(Struct, frozen=True):
    """Marks the member of a model that holds told facts of a thing by name. `reading`: how a resistance is told."""

    of: Thing
    reading: Any

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Words and numbers by name, to be filled in."""
        return core_schema.dict_schema(metadata={_OPEN: self})

    def filled(self, terms: Terms) -> CoreSchema:
        """A closed object whose members are the facts that may be told, each of which may be left out."""
        members = {name: core_schema.typed_dict_field(self._member(fact), required=False) for name, fact in terms.facts(self.of).items()}
        config = core_schema.CoreConfig(strict=True, allow_inf_nan=False, title=f"{self.of.capitalize()}Told")
        return core_schema.typed_dict_schema(members, extra_behavior="forbid", config=config)

    def _member(self, fact: ToldFact) -> CoreSchema:
        examples: list[str | float] = [*fact.words[:1]]
        described = f"{fact.ask} ({fact.meaning})."
        if not fact.unit:  # as of a literal, which nine in ten are: by pydantic it takes most of a start's time for models
            updates = {"description": described, **({"examples": examples} if examples else {})}
            return core_schema.literal_schema([*fact.words, _UNKNOWN], metadata={"pydantic_js_updates": updates})
        said: Any = Literal[(*fact.words, _UNKNOWN)]
        if fact.unit == _READ_ON_AN_INSTRUMENT:
            said = self.reading | said
        else:
            unit = _AS_PEOPLE_WRITE.get(fact.unit, fact.unit)
            number = Field(ge=fact.lowest, le=fact.highest, json_schema_extra={UNIT: unit} if unit else None)
            said, examples = Annotated[float, number] | said, [fact.lowest, *examples]
        return TypeAdapter(Annotated[said, Field(description=described, examples=examples or None)]).core_schema


def json_schema(model: type[BaseModel], terms: Terms, ref_template: str = "#/$defs/{model}") -> Schema:
    """The JSON Schema of documents of a model."""
    return GenerateJsonSchema(ref_template=ref_template).generate(_filled(model.__pydantic_core_schema__, terms))


@lru_cache(maxsize=MOST_KEPT)
def validator(model: type[BaseModel], terms: Terms) -> SchemaValidator:
    """What reads a document into a model."""
    # INVARIANT: without `_use_prebuilt=False` each model within would be read as its class has it, by what is not filled in.
    return SchemaValidator(_filled(model.__pydantic_core_schema__, terms), _use_prebuilt=False)


def _filled(schema: Any, terms: Terms) -> Any:
    """The same schema, with what it leaves open filled in."""
    if isinstance(schema, list | tuple):
        return type(schema)(_filled(one, terms) for one in schema)
    if not isinstance(schema, dict):
        return schema
    open_ = schema.get("metadata", {}).get(_OPEN)
    if open_ is not None:
        return open_.filled(terms)
    return {key: value if key == "metadata" else _filled(value, terms) for key, value in schema.items()}
