"""Descriptions put into the schemas of the document: of members, of lists of words, and of each word."""

import re
from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias

from bondwright.api.described import members, words
from bondwright.api.described.closed import CLOSED
from bondwright.installation.shapes import CHOICE_OF
from bondwright.installation.terms import NO_TERMS, Terms

Schema: TypeAlias = dict[str, Any]

EACH_WORD = "x-enum-descriptions"
"""Keyword beside `enum`: what each word means, in the same order. Generators of clients read it under this name."""

_SAID_OF = re.compile(r"(?:^|(?<=[.;] )|(?<=\n))(`\w+`(?:, `\w+`)*): ")
_SAID_OF_WORD = re.compile(r"(?:^|(?<=[.;] ))`(\w+)`: ([^.;]+)")


def describe_schemas(schemas: Mapping[str, Schema], terms: Terms = NO_TERMS) -> None:
    """Closes the lists of words that are closed, and describes every member, every list of words, and every word.

    A word of the terms, which rule packs bring, is called what they call it; one that nobody describes says itself what it means.
    """
    for name, schema in schemas.items():
        for member, choices in CLOSED.get(name, {}).items():
            schema["properties"][member]["enum"] = list(choices)
        _describe_members(schema, name, terms)
        describe_words({key: value for key, value in schema.items() if key != "properties"}, name, terms)


def _describe_members(schema: Schema, name: str, terms: Terms) -> None:
    said = said_of_members(schema.get("description", ""))
    for member, held in schema.get("properties", {}).items():
        held.setdefault("description", members.OF.get(name, {}).get(member) or said.get(member) or members.ANYWHERE.get(member, ""))
        describe_words(held, f"{name}/{member}", terms)
        _describe_members(held, name, terms)


def describe_words(schema: Schema, place: str, terms: Terms = NO_TERMS) -> None:
    """Describes the lists of words in a schema, and each word; `place`: its shape and field."""
    for listed in _with_words(schema):
        _describe_words(listed, place, schema.get("description", ""), terms)


def _describe_words(schema: Schema, place: str, said: str, terms: Terms) -> None:
    of = schema.pop(CHOICE_OF, "")
    brought = schema["enum"] if of else _told_words(terms)
    of_word = {word: _sentence(word.replace("_", " ")) for word in brought}
    of_word |= {word: _sentence(text) for word, text in terms.called.get(of, {}).items()}
    of_word |= words.ANYWHERE
    of_word |= {word: _sentence(meaning) for word, meaning in _SAID_OF_WORD.findall(schema.get("description", said))}
    of_word |= words.OF.get(place, {})
    first, *others = schema["enum"]
    schema[EACH_WORD] = [of_word.get(str(word), "") for word in schema["enum"]]
    if "description" not in schema:
        schema["description"] = words.CHOICES.get(of or str(first), "") if others else schema[EACH_WORD][0]


def _told_words(terms: Terms) -> set[str]:
    return {word for facts in terms.told.values() for fact in facts.values() for word in fact.words}


def said_of_members(docstring: str) -> Mapping[str, str]:
    """What the docstring of a shape says of its members, by name: each from "`name`: " on, to the next one or the end of the paragraph."""
    said: dict[str, str] = {}
    for paragraph in docstring.split("\n\n"):
        _, *found = _SAID_OF.split(paragraph)
        for named, text in zip(found[::2], found[1::2], strict=True):
            said |= dict.fromkeys(re.findall(r"\w+", named), _sentence(text))
    return said


def _sentence(text: str) -> str:
    flat = " ".join(text.split())
    return f"{flat[:1].upper()}{flat[1:].rstrip(' .;')}."


def _with_words(schema: Any) -> Iterator[Schema]:
    if isinstance(schema, list):
        for one in schema:
            yield from _with_words(one)
    elif isinstance(schema, dict):
        if "enum" in schema:
            yield schema
        for key, value in schema.items():
            if key not in ("properties", "example", "examples", "default", "enum"):
                yield from _with_words(value)
