"""An answer says as much as those of form 3 did, and every sentence of it can be made again from the language file of its pack."""

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import cache
from typing import Any

import pytest
from tests.declared import declared
from tests.described import read, terms
from tests.form_3 import as_form_3, written_in_form_3
from tests.longer.described import drawn, worked
from tests.rules.revisions import published

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.codes import of_level, of_question, of_rule
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.conclude.concluding import plainly
from bondwright.errors import Contradiction
from bondwright.evaluate.editions import also_usable
from bondwright.evaluate.order import evaluate
from bondwright.members import replace
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.language import read_language

NEWEST, INTERNATIONAL, OLDER, OLDEST = "bs7671-2018-a4-r11", "iec60364-2017-r10", "bs7671-2018-a4-r7", "bs7671-2018-a2-r1"


@cache
def answers(pack_id: str) -> Mapping[str, Evaluation]:
    """What a pack says of the descriptions that are kept, by their names; of another than the newest, of every fourth."""
    found, pack = {}, published(pack_id)
    acting = plainly(pack)
    for name, raw in [*worked().items(), *[*drawn().items()][::20]][:: 1 if pack_id == NEWEST else 4]:
        with suppress(Contradiction):
            found[name] = evaluate(read(raw), pack, acting)
    return found


@cache
def texts(pack_id: str) -> Mapping[str, str]:
    """The texts of the language file of a pack, by code."""
    return {code: node.text for code, node in read_language(parts(published(pack_id).text)[1], "").texts.items()}


def capital(text: str) -> str:
    """The same, starting with a capital."""
    return text[:1].upper() + text[1:]


class Vendor:
    """Says an answer again from the texts of a language file, by what the document tells of codes, slots and places."""

    def __init__(self, answer: Mapping[str, Any], said: Mapping[str, str]) -> None:
        self._sentences: Sequence[Any] = answer["sentences"]
        self._said = said

    def sentence(self, place: int) -> str:
        """The sentence at that place."""
        sentence = self._sentences[place]
        if "code" in sentence:
            slots = {name: self._part(part) for name, part in sentence.get("slots", {}).items()}
            return self._said[sentence["code"]].format_map(slots)
        return self._part(sentence.get("made_of", sentence["words"]))

    def _part(self, part: Any) -> str:
        if isinstance(part, list):
            return "".join(map(self._part, part))
        return self.sentence(part) if isinstance(part, int) else part


def wrongly_said(answer: Mapping[str, Any], said: Mapping[str, str]) -> list[tuple[str, str]]:
    """Each sentence of an answer that comes out otherwise when it is made again, as it stands there and as it comes out."""
    vendor = Vendor(answer, said)
    pairs = [(one["words"], vendor.sentence(place)) for place, one in enumerate(answer["sentences"])]
    pairs += [(one["words"], said[one.get("code", of_level(one["outcome"], one["act_on"]))]) for one in answer.get("verdicts", ())]
    pairs += [(one["says"], said[one.get("code", of_rule(one["rule"]))]) for one in answer["reasons"]]
    pairs += [(one["ask"], said[one.get("code", of_question(one["fact"]))]) for one in answer.get("questions", ())]
    return [(words, again) for words, again in pairs if words not in (again, capital(again))]


@pytest.mark.parametrize("pack_id", [NEWEST, INTERNATIONAL])
def test_every_sentence_can_be_made_again_from_the_language_file(pack_id: str) -> None:
    compared = 0

    for name, evaluation in answers(pack_id).items():
        answer = json.loads(evaluation_bytes(evaluation))
        compared += len(answer["sentences"])

        assert wrongly_said(answer, texts(pack_id)) == [], name

    assert compared > 2_000


@pytest.mark.parametrize("pack_id", [NEWEST, INTERNATIONAL])
def test_what_has_no_code_was_described_so_or_is_a_number_with_its_unit(pack_id: str) -> None:
    for name, evaluation in answers(pack_id).items():
        sentences = json.loads(evaluation_bytes(evaluation))["sentences"]
        bare = {one["words"] for one in sentences if not one.keys() & {"code", "made_of"}}
        given = {room.location for room in evaluation.rooms} | {thing.name for thing in evaluation.not_judged}
        given |= {one.earthing for one in evaluation.earthings}

        assert {words for words in bare - given if not words[0].isdigit()} == set(), name


def test_a_slot_takes_what_another_language_says_of_what_stands_in_it() -> None:
    said = {code: f"«{text}»" for code, text in texts(NEWEST).items()}
    evaluation = next(iter(answers(NEWEST).values()))
    answer = json.loads(evaluation_bytes(evaluation))
    vendor = Vendor(answer, said)

    (place, *_) = (place for place, one in enumerate(answer["sentences"]) if "part" in one.get("slots", ()))

    assert vendor.sentence(place).count("«") >= 2


def test_a_sentence_whose_slots_were_left_out_is_noticed() -> None:
    evaluation = next(iter(answers(NEWEST).values()))
    answer = json.loads(evaluation_bytes(evaluation))
    (slotted, *_) = (one for one in answer["sentences"] if one.get("slots"))

    slotted["slots"] = dict.fromkeys(slotted["slots"], "")

    assert wrongly_said(answer, texts(NEWEST)) != []


@pytest.mark.parametrize("pack_id", [NEWEST, INTERNATIONAL, OLDER, OLDEST])
def test_an_answer_turned_back_is_that_of_form_3_byte_for_byte(pack_id: str) -> None:
    pack, compared = published(pack_id), 0

    for name, evaluation in answers(pack_id).items():
        compared += 1

        assert as_form_3(evaluation_bytes(evaluation), pack, terms()) == written_in_form_3(evaluation), name

    assert compared > 50


def test_what_another_edition_says_is_turned_back_too() -> None:
    pack, older = published(NEWEST), published(OLDEST)
    theirs, told = answers(OLDEST), 0

    for name, used in answers(NEWEST).items():
        if name in theirs:
            also = also_usable(used, older, theirs[name], pack.say)
            told += len(also.differing)
            evaluation = replace(used, pack=replace(used.pack, also_usable=(also,)))
            written = evaluation_bytes(evaluation)
            assert as_form_3(written, pack, terms()) == written_in_form_3(evaluation), name
            assert wrongly_said(json.loads(written), texts(NEWEST)) == [], name

    assert told


@pytest.mark.parametrize("pack_id", [NEWEST, OLDEST])
def test_every_answer_is_as_the_document_declares(pack_id: str) -> None:
    for name, evaluation in [*answers(pack_id).items()][::10]:
        assert list(declared("Evaluation").iter_errors(json.loads(evaluation_bytes(evaluation)))) == [], name
