"""The style of sentences in the newest language files: short, and without the words that no page may use."""

import re

import pytest
from tests.words.raised import text_of

from bondwright.cli.rules.choosing import editions
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.words.joined import parts
from bondwright.shelf.words.language import read_language

MOST_WORDS = 25
NEVER = re.compile(r"\b(settl\w*|firm\w*|act(?:s|ed|ing)? on|objection\w*|ladder\w*|serv(?:e|es|ed|ing))\b", re.IGNORECASE)
"""Words that a reader with the page in hand stumbled over, in any form."""
_SLOT = re.compile(r"\{\w*\}")


def faults(text: str) -> list[str]:
    """What is wrong with a text; a slot counts as one word, whatever it is called."""
    plain = _SLOT.sub("…", text)
    sentences = re.split(r"(?<=[.?!])\s+", plain)
    long = [f"{len(one.split())} words: {one}" for one in sentences if len(one.split()) > MOST_WORDS]
    return long + [f"`{found[0]}`: {text}" for found in NEVER.finditer(plain)]


@pytest.mark.parametrize("edition", editions(rules_folder()))
def test_every_sentence_is_short_and_plain(edition: str) -> None:
    words = read_language(parts(text_of(edition))[1], f"words of {edition}")

    assert {code: fault for code, node in words.texts.items() if (fault := faults(node.text))} == {}
    assert len(words.texts) > 500


@pytest.mark.parametrize(
    ("text", "many"),
    [
        (" ".join(["word"] * 25) + ".", 0),
        (" ".join(["word"] * 26) + ".", 1),
        ("Short. " + " ".join(["word"] * 25) + "?", 0),
        ("It serves, and is settled.", 2),
        ("Do not connect {part}: {objection}.", 0),
        ("Confirm that it is safe, on metal that reacts on heat.", 0),
        ("Act on it.", 1),
    ],
)
def test_the_style_is_looked_at_word_by_word(text: str, many: int) -> None:
    assert len(faults(text)) == many
