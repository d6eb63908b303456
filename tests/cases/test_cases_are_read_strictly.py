"""A worked case in which something stands that would compare nothing is refused, with line and column."""

import json
from contextlib import closing
from typing import Any

import pytest
from tests.core.cases import published_pack, read

from bondwright.cases.case import Case
from bondwright.cases.comparing import Compared, judged
from bondwright.cases.positions import position
from bondwright.cases.reading import read_case
from bondwright.engine.channels import TwoChannels
from bondwright.errors import UnreadableRules
from bondwright.rulebook.memory import Kept

INSTALLATION = {
    "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
    "services": [
        {"id": "oil", "kind": "oil", "comes_from": "ground", "enters_as": "plastic", "inside": "copper", "hidden": "no", "joined_to": []}
    ],
}


def document(expect: Any = None, **changed: Any) -> dict[str, Any]:
    """A case about an oil line in plastic, with other expectations or other members."""
    return {
        "claim": "An oil line that comes in as plastic is left.",
        "rests_on": "common practice",
        "installation": INSTALLATION,
        "expect": {"parts": {"oil/inside": {"act": "leave"}}} if expect is None else expect,
        "near_miss": {
            "claim": "As steel it is bonded.",
            "change": {"/services/0/enters_as": "steel"},
            "expect": {"parts": {"oil/entering": {"main_bonding": "required"}}},
        },
        **changed,
    }


def near(**changed: Any) -> dict[str, Any]:
    """A case with another near miss."""
    return document(near_miss={**document()["near_miss"], **changed})


def case(content: Any) -> Case:
    """The case that a file with this content holds."""
    return read_case(json.dumps(content, indent=1).encode(), "book/cases/oil.json")


def refusal(text: bytes) -> str:
    """Why a text is no case."""
    with pytest.raises(UnreadableRules) as refused:
        read_case(text, "book/cases/oil.json")
    return str(refused.value)


def judging(content: Any) -> tuple[Compared, ...]:
    """What becomes of the claim of such a case."""
    read_one = case(content)
    with closing(TwoChannels(published_pack(), Kept())) as channels:
        return judged(read_one, read_one.claim, read(read_one.claim.installation), published_pack(), channels.acts, channels.memory)


def part(**expected: Any) -> dict[str, Any]:
    """A case that expects this of the oil line."""
    return document({"parts": {"oil/inside": expected}})


MISTAKES = {
    "an unknown section": (document({"part": {}}), "`expect` has no key `part`; did you mean `parts`?", '"part"'),
    "nothing expected": (document({}), "this compares nothing; write what is expected, or leave it out", '"expect"'),
    "no part named": (document({"parts": {}}), "this compares nothing; write what is expected, or leave it out", '"parts"'),
    "nothing expected of a part": (part(), "this compares nothing; write what is expected, or leave it out", '"oil/inside"'),
    "an empty list of which some must be named": (part(asks=[]), "at least one name; an empty list compares nothing", '"asks"'),
    "an empty phrase": (part(place=""), "`place` cannot be that; write text that is not empty", '"place"'),
    "a word for a number": (part(size_mm2="10"), "`size_mm2` cannot be that; write a number, or `null`", '"size_mm2"'),
    "a number for yes": (part(firm=1), "`firm` cannot be that; write `true` or `false`", '"firm"'),
    "a number for a level": (part(extraneous=3), "`extraneous` is no key with such a value", '"extraneous"'),
    "nothing to act on": (part(act_on={}), "`act_on` cannot be that; write an object of what is safe to act on", '"act_on"'),
    "no code": (part(observation=2), "`observation` cannot be that; write text that is not empty, or `null`", '"observation"'),
    "one name twice": (part(because=["a", "a"]), "`because` cannot be that; write a list of different names", '"because"'),
    "a list for a part": (document({"parts": ["oil/inside"]}), "here stands an object of names", '"parts"'),
    "a room that is null": (document({"rooms": {"bath": None}}), "here stands an object of what is expected", '"bath"'),
    "an unknown member": (document(expects={}), "a worked case has no key `expects`; did you mean `expect`?", '"expects"'),
    "an empty claim": (document(claim=" "), "`claim` is text that is not empty", '"claim"'),
    "no description": (document(installation=[]), "`installation` is an object", '"installation"'),
    "a pack by name": (
        document(installation={**INSTALLATION, "rule_pack": "bs7671-2018-a4-r11"}),
        "a worked case names no pack; the date of its work chooses the edition",
        '"rule_pack"',
    ),
    "a near miss without a change": (near(change={}), "name at least one", '"change"'),
    "a change of nothing": (near(change={"/services/0/kind": "oil"}), "the change changes nothing", '"/services/0/kind"'),
    "a change that leads nowhere": (near(change={"/services/4/kind": "oil"}), "leads nowhere in `installation`", '"/services/4/kind"'),
    "a change without a slash": (near(change={"services": "oil"}), "leads nowhere in `installation`", '"services": "oil"'),
}


@pytest.mark.parametrize(("content", "words", "at"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_is_refused_at_its_place(content: Any, words: str, at: str) -> None:
    text = json.dumps(content, indent=1)
    offset = text.index(at)
    line, column = text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)

    told = refusal(text.encode())

    assert told.startswith(f"book/cases/oil.json:{line}:{column}: ")
    assert words in told


FURTHER = {"claim": "As copper too.", "change": {"/services/0/enters_as": "copper"}, "expect": {"parts": {"oil/entering": {"act": "bond"}}}}


def test_further_near_misses_are_read_like_the_first_one() -> None:
    (one,) = case(document(further=[FURTHER])).further

    assert (one.says, one.described) == ("As copper too.", "/further/0/change")
    assert one.installation["services"][0]["enters_as"] == "copper"
    assert [expectation.pointer for expectation in one.expectations] == ["/further/0/expect/parts/oil~1entering/act"]


@pytest.mark.parametrize(
    ("further", "words"),
    [
        ([], "`further` is a list of more near misses; name at least one, or leave it out"),
        ({}, "`further` is a list of more near misses"),
        ([{**FURTHER, "rests_on": "x"}], "a further near miss has no key `rests_on`"),
        ([{"claim": "x", "expect": {}}], "a further near miss lacks `change`"),
        ([{**FURTHER, "change": {"/services/9": None}}], "`/services/9` leads nowhere in `installation`"),
    ],
)
def test_a_mistake_in_a_further_one_is_refused(further: Any, words: str) -> None:
    assert words in refusal(json.dumps(document(further=further)).encode())


@pytest.mark.parametrize("lacking", ["claim", "rests_on", "installation", "expect", "near_miss"])
def test_a_case_lacks_no_member(lacking: str) -> None:
    content = {key: value for key, value in document().items() if key != lacking}

    assert refusal(json.dumps(content).encode()) == f"book/cases/oil.json:1:1: a worked case lacks `{lacking}`"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b'{"claim": "a",\n "claim": "b"}', "2:10: this key is given twice in one object; give it once"),
        (b'{"claim": NaN}', "1:11: a JSON value is expected; NaN, Infinity and comments are none"),
        (b"\xef\xbb\xbf{}", "1:1: a byte-order mark stands before the document; send UTF-8 without one"),
        (b"[]", "1:1: a worked case is an object with `claim`"),
        (b"", "1:1: the document ends too early"),
    ],
)
def test_what_is_no_json_is_refused_at_its_place(text: bytes, words: str) -> None:
    assert refusal(text).startswith(f"book/cases/oil.json:{words}")


UNKNOWN = {
    "an outcome that the pack does not have": (part(extraneus="extraneous"), "`extraneus` is no outcome of bs7671", '"extraneus"'),
    "an outcome of something else": (part(bond_removal="leave"), "`bond_removal` is no outcome of bs7671", '"bond_removal"'),
    "a level that the outcome does not have": (part(extraneous="yes"), "`yes` is no level of `extraneous` of bs7671", '"extraneous"'),
    "an act that the pack does not have": (part(act="leaves"), "`leaves` is no such `act` of bs7671-2018-a4-r", '"act"'),
    "a mark that the pack does not have": (part(mark="left"), "`left` is no such `mark` of bs7671", '"mark"'),
    "something to act on of an unknown outcome": (part(act_on={"duty": "required"}), "`duty` is no outcome of bs7671", '"duty"'),
    "something that is never acted on": (
        part(act_on={"main_bonding": "settled"}),
        "`settled` is nothing to act on for `main_bonding` of bs7671",
        '"main_bonding"',
    ),
    "the absence of what is not described": (
        document({"parts": {"oil/indoors": None}}),
        "nothing that is described is called `oil/indoors`; did you mean `oil/inside`?",
        '"oil/indoors"',
    ),
}


@pytest.mark.parametrize(("content", "words", "at"), UNKNOWN.values(), ids=UNKNOWN)
def test_what_no_answer_of_the_pack_could_tell_is_refused_at_its_place(content: Any, words: str, at: str) -> None:
    text = json.dumps(content, indent=1)
    offset = text.index(at)
    line, column = text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)

    with pytest.raises(UnreadableRules) as refused:
        judging(content)

    assert str(refused.value).startswith(f"book/cases/oil.json:{line}:{column}: ")
    assert words in str(refused.value)


def test_a_good_case_is_read_and_holds() -> None:
    assert [one.fault for one in judging(document())] == [""]


def test_a_wrong_expectation_is_told_with_what_is_so() -> None:
    (one,) = judging(part(act="bond"))

    assert one.fault == "act of parts oil/inside is leave, expected bond"


@pytest.mark.parametrize(
    ("pointer", "place"),
    [
        ("/", (1, 1)),
        ("/a", (1, 2)),
        ("/a/b~1c", (2, 2)),
        ("/a/b~1c/1", (2, 12)),
        ("/a/b~1c/2/d", (3, 3)),
        ("/a/b~1c/9", (2, 2)),
        ("/a/none/deeper", (1, 2)),
        ("/e", (4, 1)),
    ],
)
def test_a_pointer_leads_to_line_and_column(pointer: str, place: tuple[int, int]) -> None:
    text = b'{"a": {\n "b/c": [1,2,{\n  "d": "}]"}]},\n"e": "\xc3\xa9"}'

    assert position(text, pointer) == place
