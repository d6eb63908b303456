"""Every member and every word of the document is described, and members that are always there are said to be."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from tests.api.keep_documents import DOCUMENT

from bondwright.api.described import members, words
from bondwright.api.described.describing import EACH_WORD, describe_schemas, said_of_members
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.compose.answer import Evaluation
from bondwright.compose.written.members import TABLES, members_of, shapes_in
from bondwright.installation.shapes import CHOICE_OF
from bondwright.installation.terms import Terms, ToldFact

HANGS = ToldFact("hangs", ("side_wall",), "", 0.0, 0.0, "of a cabinet", "Where does it hang?")
"""A told fact, invented."""

DATA = ("enum", "required", "example", "examples", "default")


@pytest.fixture(scope="module")
def document() -> Any:
    """The document as it is kept."""
    return json.loads(DOCUMENT.read_bytes())


def test_every_member_of_every_object_is_described(document: Any) -> None:
    undescribed = [
        f"{pointer}/properties/{member}"
        for pointer, schema in _schemas(document)
        for member, held in schema.get("properties", {}).items()
        if not held.get("description", "").strip()
    ]

    assert undescribed == []


def test_every_list_of_words_is_described(document: Any) -> None:
    undescribed = [pointer for pointer, schema in _schemas(document) if "enum" in schema and not schema.get("description", "").strip()]

    assert undescribed == []


def test_every_word_is_described(document: Any) -> None:
    undescribed = [
        f"{pointer}/enum/{index} ({word})"
        for pointer, schema in _schemas(document)
        for index, word in enumerate(schema.get("enum", ()))
        if not (dict(enumerate(schema.get(EACH_WORD, ()))).get(index) or "").strip()
    ]

    assert undescribed == []


def test_members_of_answers_are_always_there_but_for_those_in_which_there_may_be_nothing(document: Any) -> None:
    asked = {"Installation", *(calculation.inputs.__name__ for calculation in CALCULATIONS.values())}
    sent = _referred(document["components"]["schemas"], asked)
    optional = {
        name: set(schema["properties"]) - set(schema.get("required", ()))
        for name, schema in document["components"]["schemas"].items()
        if name not in {*sent, "BatchLine"}
    }

    lacking = {one.__name__: {member.name for member in members_of(one) if member.may_lack} for one in shapes_in(Evaluation)}
    lacking = {
        name: members for name, members in lacking.items() if name not in {"Silent", *(one.__name__ for one in TABLES if one != "sentence")}
    }
    lacking |= {
        "EarlierEvaluation": {"form"},
        "Question": {"pointer", "code"},
        "Reason": {"code", "disputed"},
        "Sentence": {"code", "slots", "made_of"},
        "SizeVerdict": {"provisional", "questions"},
        "Verdict": {"code", "worst_case", "lowest_possible", "questions", "could_relax", "did_not_act"},
    }
    assert {name: members for name, members in optional.items() if members} == {name: own for name, own in lacking.items() if own}


def test_no_description_is_kept_for_what_the_document_has_not(document: Any) -> None:
    schemas = document["components"]["schemas"]
    everywhere = {member for schema in schemas.values() for member in schema.get("properties", {})}
    listed = {str(word) for _, schema in _schemas(document) for word in schema.get("enum", ())}
    unused = [
        *(f"{name}/{member}" for name, own in members.OF.items() for member in own if member not in schemas[name]["properties"]),
        *(members.ANYWHERE.keys() - everywhere),
        *(words.ANYWHERE.keys() - listed),
        *(place for place in words.OF if place.partition("/")[2] not in schemas[place.partition("/")[0]]["properties"]),
    ]

    assert unused == []


def test_a_docstring_says_what_its_members_are() -> None:
    docstring = "A thing. `a`: the one;\n    and more. `b`, `c`: the others. \n\n`d`: at a new paragraph. `e` is no such member."

    assert said_of_members(docstring) == {
        "a": "The one; and more.",
        "b": "The others.",
        "c": "The others.",
        "d": "At a new paragraph. `e` is no such member.",
    }


def test_a_word_that_a_rule_pack_brings_says_itself_what_it_means_in_members_of_members_too() -> None:
    told = {"description": "Where it hangs.", "enum": ["side_wall", "unknown"]}
    place = {"description": "A place.", "properties": {"told": {"description": "Told.", "properties": {"hangs": told}}}}

    describe_schemas({"Place": place}, Terms(told={"item": {"hangs": HANGS}}))

    assert told[EACH_WORD] == ["Side wall.", words.ANYWHERE["unknown"]]


def test_a_word_of_a_choice_is_called_what_rule_packs_call_it_and_else_says_itself_what_it_means() -> None:
    kind: dict[str, Any] = {"description": "What it is.", "enum": ["sink", "wash_trough", "unknown"], CHOICE_OF: "item"}
    called = {"item": {"sink": "kitchen sink", "unknown": "metalwork"}}

    describe_schemas({"Thing": {"description": "A thing.", "properties": {"kind": kind}}}, Terms(called=called))

    assert kind[EACH_WORD] == ["Kitchen sink.", "Wash trough.", words.ANYWHERE["unknown"]]
    assert CHOICE_OF not in kind


def test_a_word_of_ours_must_be_described() -> None:
    place = {"description": "A place.", "properties": {"hangs": {"description": "Where it hangs.", "enum": ["side_wall"]}}}

    describe_schemas({"Place": place})

    assert place["properties"]["hangs"][EACH_WORD] == [""]  # type: ignore[index]  # a schema


def _referred(schemas: Any, names: set[str]) -> set[str]:
    found, waiting = set[str](), set(names)
    while waiting:
        found |= waiting
        held = json.dumps([schemas[name] for name in waiting])
        waiting = set(re.findall(r"#/components/schemas/(\w+)", held)) - found
    return found


def _schemas(value: Any, pointer: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(value, list):
        for index, one in enumerate(value):
            yield from _schemas(one, f"{pointer}/{index}")
    elif isinstance(value, dict):
        yield pointer, value
        for key, held in value.items():
            if key not in DATA:
                yield from _schemas(held, f"{pointer}/{key.replace('~', '~0').replace('/', '~1')}")
