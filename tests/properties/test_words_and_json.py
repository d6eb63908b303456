"""What a program reads and what a person reads of one answer say the same: neither is ever more severe, or more lenient, than the other."""

import copy
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from tests import paged
from tests.described import described
from tests.opened import in_place
from tests.properties.claims import JSON, WORDS, Json, verdicts_of
from tests.properties.descriptions import Said, installations
from tests.properties.severity import SENTENCES, disagreements
from tests.rules.revisions import drafted

from bondwright.compose.answer import Evaluation
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import NOT_SETTLED

BS7671, IEC60364 = "bs7671/2018-a4", "iec60364/2017"
MANY = settings(deadline=None, max_examples=250, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
COUNTED = settings(MANY, max_examples=500, derandomize=True, phases=(Phase.generate,), database=None)


@cache
def channels(edition: str) -> TwoChannels:
    """Both channels of a draft."""
    return TwoChannels(drafted(edition), Kept())


def judged(said: Said, edition: str = BS7671) -> Evaluation | None:
    """What the edition says as its files stand; none where the description contradicts itself."""
    try:
        running = channels(edition)
        return evaluate(described(said), drafted(edition), running.acts, running.memory)
    except Contradiction:
        return None


def accepted(said: Said, edition: str = BS7671) -> Evaluation:
    """The evaluation; the example is dropped where the description contradicts itself."""
    found = judged(said, edition)
    assume(found is not None)
    assert found is not None
    return found


def as_json(evaluation: Evaluation) -> Json:
    """An evaluation as a program reads it."""
    return in_place(evaluation)


@MANY
@given(installations())
def test_words_and_json_are_equally_severe(said: Said) -> None:
    evaluation = accepted(said)

    assert disagreements(as_json(evaluation), paged.page(evaluation), drafted(BS7671)) == []


@settings(MANY, max_examples=60)
@given(installations())
def test_words_and_json_of_the_international_pack_are_equally_severe(said: Said) -> None:
    evaluation = accepted(said, IEC60364)

    assert disagreements(as_json(evaluation), paged.page(evaluation), drafted(IEC60364)) == []


@pytest.mark.parametrize("edition", [BS7671, IEC60364])
def test_the_sentences_of_every_act_were_read(edition: str) -> None:
    assert drafted(edition).advice.keys() - SENTENCES.keys() == set()


def test_the_examples_have_what_could_disagree() -> None:
    met: Counter[str] = Counter()

    @COUNTED
    @given(installations())
    def count(said: Said) -> None:
        evaluation = judged(said)
        if evaluation is None:
            return
        answer = as_json(evaluation)
        for subject in (*answer["parts"], *answer["rooms"]):
            met[subject["mark"]] += 1
            met.update(one["act_on"] for one in verdicts_of(subject) if one["act_on"] in (*NOT_SETTLED, "covered"))
            met.update(
                observed["code"]
                for observed in (subject["observation"], *(bond["observation"] for bond in subject.get("bonds", ())))
                if observed
            )

    count()

    expected = {
        "do",
        "leave",
        "do_not_connect",
        "measure_first",
        "settle_first",
        "stop",
        "covered",
        "not_shown",
        "ask_first",
        "C2",
        "C3",
        "FI",
    }
    assert {word for word in expected if met[word] < 5} == set()


_BOND = {"connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 8, "joint": "sound", "accessible": "yes"}
_SEEN = {"inside": "nothing", "joined_by": "compression", "insulating_section": "none", "joined_to": [], "meter": {"position": "outside"}}
_COPPER = {"enters_as": "copper", **_SEEN, "bonds": []}
HOUSE: Said = {
    "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
    "supply": {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}},
    "services": [
        {**_COPPER, "id": "measured-by-nobody", "kind": "water", "comes_from": "ground", "bonds": [{**_BOND, "on": "entering_pipe"}]},
        {**_COPPER, "id": "without-a-bond", "kind": "gas", "comes_from": "ground"},
        {**_COPPER, "id": "in-doubt", "kind": "oil", "comes_from": "above_ground"},
    ],
}
"""A bond that nobody measured, a missing bond (C2), and metal that may need none (FI)."""


def house() -> Evaluation:
    """That house, judged."""
    found = judged(HOUSE)
    assert found is not None
    return found


def verdict(answer: Json, part: int, outcome: str) -> Json:
    """One verdict of a part of an answer, or of its first bond, to be changed in place."""
    return next(one for one in verdicts_of(answer["parts"][part]) if one["outcome"] == outcome)


def every_worst_case(answer: Json) -> None:
    """A program acts on the worst case of what nobody measured."""
    for one in answer["parts"][0]["bonds"][0]["verdicts"]:
        one["act_on"] = one["worst_case"]


def _put(part: int, outcome: str, **members: str) -> Callable[[Json], None]:
    return lambda answer: verdict(answer, part, outcome).update(members)


def _observed(answer: Json) -> None:
    answer["parts"][0]["bonds"][0]["observation"] = {"code": "C2", "words": "…", "clause": "653.3"}


def _unobserved(answer: Json) -> None:
    answer["parts"][1]["observation"] = None


def _bonds_it(answer: Json) -> None:
    part = answer["parts"][2]
    part.update(act="bond", mark="do", line=answer["parts"][1]["line"])


def _line(was: str, now: str) -> Callable[[Json], None]:
    def planted(answer: Json) -> None:
        bond = answer["parts"][0]["bonds"][0]
        assert was in bond["line"]
        bond["line"] = bond["line"].replace(was, now)

    return planted


PLANTED_IN_JSON = [
    pytest.param(every_worst_case, JSON, id="the worst case of a bond that nobody measured"),
    pytest.param(_put(0, "bond_report", act_on="potentially_dangerous"), JSON, id="a code that nobody found"),
    pytest.param(_put(2, "main_bonding", act_on="required"), JSON, id="a duty that is not settled"),
    pytest.param(_put(1, "danger", act_on="none"), WORDS, id="a danger left out of the JSON"),
    pytest.param(_put(1, "main_bonding", act_on="not_shown"), WORDS, id="a duty that is settled, in words only"),
    pytest.param(_put(0, "bond_connection", words="does not connect"), WORDS, id="a defect in words that nobody found"),
    pytest.param(_put(2, "main_bonding", words="main bonding is required"), WORDS, id="a duty in words that is not settled"),
    pytest.param(_put(1, "danger", words="no observation of its own"), JSON, id="a danger left out of the words"),
    pytest.param(_observed, JSON, id="an observation that nothing settled stands behind"),
    pytest.param(_unobserved, WORDS, id="a code without its observation"),
    pytest.param(_bonds_it, WORDS, id="a line that bonds metal in doubt"),
    pytest.param(_line("not verified", "potentially dangerous (code C2)"), WORDS, id="a line that codes a bond that nobody measured"),
    pytest.param(_line("not shown to connect", "counts as a connection"), JSON, id="a line that lets such a bond pass"),
]


def found(answer: Json, page: str) -> set[str]:
    """Which of both says more, wherever they disagree."""
    return {one.which for one in disagreements(answer, page, drafted(BS7671))}


@pytest.mark.parametrize(("plant", "which"), PLANTED_IN_JSON)
def test_a_planted_disagreement_is_caught_with_its_direction(plant: Callable[[Json], None], which: str) -> None:
    evaluation = house()
    answer = as_json(evaluation)
    planted = copy.deepcopy(answer)
    plant(planted)

    assert found(answer, paged.page(evaluation)) == set()
    assert which in found(planted, paged.page(evaluation))


PLANTED_ON_THE_PAGE = [
    pytest.param("not verified", "potentially dangerous (code C2)", WORDS, id="a code that the JSON does not have"),
    pytest.param(
        "main bonding is required unless it is shown otherwise", "main bonding is required", WORDS, id="a duty that is not settled"
    ),
    pytest.param("potentially dangerous (code C2)", "nothing to report", JSON, id="a danger left out"),
    pytest.param("further investigation (code FI)", "verified", JSON, id="an investigation left out"),
]


@pytest.mark.parametrize(("was", "now", "which"), PLANTED_ON_THE_PAGE)
def test_a_page_that_says_more_or_less_than_the_json_is_caught(was: str, now: str, which: str) -> None:
    evaluation = house()
    page = "\n".join(_replaced(paged.page(evaluation), was, now))

    assert which in found(as_json(evaluation), page)


def _replaced(page: str, was: str, now: str) -> Iterator[str]:
    """The page, each of its rows on one line, with other words in the rows that say what was judged."""
    joined = page.replace("\n" + " " * 17, " ")
    assert was in joined
    return (line.replace(was, now) if line.startswith(("  Verdict", "  Report", "  Bond there")) else line for line in joined.splitlines())
