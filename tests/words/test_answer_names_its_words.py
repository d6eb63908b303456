"""An answer names the digest of the words it was given with, where the pack has a file of them."""

import json

from tests.described import read
from tests.longer.described import worked
from tests.rules.revisions import published
from tests.words.raised import pack_of

from bondwright.compose.written.writing import evaluation_bytes
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack


def pack_told(pack: RulePack) -> dict[str, object]:
    """What an answer by the pack says of it."""
    channels = TwoChannels(pack, Kept())
    described = read(next(iter(worked().values())))
    told: dict[str, object] = json.loads(evaluation_bytes(evaluate(described, pack, channels.acts, channels.memory)))["pack"]
    channels.close()
    return told


def test_an_answer_by_a_pack_of_format_4_names_the_digest_of_its_words() -> None:
    assert pack_told(pack_of())["words"] == pack_of().words


def test_an_answer_by_an_older_pack_has_no_such_member() -> None:
    assert "words" not in pack_told(published("bs7671-2018-a4-r7"))
