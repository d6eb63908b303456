"""Every expectation that is written in a worked case is compared, and a wrong one of each kind is noticed."""

import json
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from tests.core.cases import FOLDER, cases, judged, published_pack

from bondwright.cases.case import Expectation
from bondwright.cases.comparing import compared
from bondwright.cases.keys import AMONG, KEYS
from bondwright.cases.telling import told
from bondwright.compose.answer import Evaluation
from bondwright.shelf.packs import rules_folder

Kind = tuple[str, str]
"""A subject and a key that an answer tells of it."""


@cache
def told_somewhere() -> dict[Kind, tuple[Expectation, Evaluation]]:
    """For each kind of thing that an answer tells, what one of the shipped cases is told: the fullest value of all."""
    found: dict[Kind, tuple[Expectation, Evaluation]] = {}
    for case in cases():
        for _, claim in case.claims:
            evaluation = judged(claim.installation)
            for subject, names in told(evaluation, published_pack()).items():
                for name, tells in names.items():
                    for key, value in tells.items():
                        one = Expectation(subject, name, key, value, "")
                        if (subject, key) not in found or (value and not found[subject, key][0].wanted):
                            found[subject, key] = one, evaluation
    return found


def wrong(value: Any) -> Any:
    """Something else of the same shape."""
    match value:
        case None:
            return "something"
        case bool():
            return not value
        case int() | float():
            return value + 1
        case list():
            return [*value, "nothing-of-that-name"]
        case dict():
            return {**value, "nothing_of_that_name": 1, **{key: "otherwise" for key, one in value.items() if isinstance(one, str)}}
    return f"not {value}"


def leaves(document: Any) -> Iterator[tuple[str, ...]]:
    """Every expectation in `expect` of a file, counted without the service."""
    for subject, wanted in document.items():
        if subject in ("parts", "rooms", "bonds", "earthings"):
            for name, one in wanted.items():
                yield from [(subject, name)] if one is None else [(subject, name, key) for key in one]
        else:
            yield from [(subject,)] if wanted is None else [(subject, key) for key in wanted]


def faults(one: Expectation, evaluation: Evaluation) -> list[str]:
    """What is found wrong with one expectation."""
    return [result.fault for result in compared((one,), evaluation, published_pack()) if result.fault]


KINDS = sorted({(subject, key) for subject, keys in KEYS.items() for key in keys})


def test_as_many_expectations_are_compared_as_stand_in_the_files() -> None:
    written = 0
    for path in (rules_folder() / FOLDER).glob("*.json"):
        document = json.loads(path.read_bytes())
        claims = (document, document["near_miss"], *document.get("further", ()))
        written += sum(1 for claim in claims for _ in leaves(claim["expect"]))

    results = [compared(claim.expectations, judged(claim.installation), published_pack()) for case in cases() for _, claim in case.claims]

    assert sum(map(len, results)) == written > 1000


@pytest.mark.parametrize(("subject", "key"), KINDS)
def test_some_answer_tells_what_may_be_expected(subject: str, key: str) -> None:
    assert (subject, key) in told_somewhere()


def test_each_outcome_with_levels_is_told_of_some_subject() -> None:
    told_of = {key for _, key in told_somewhere()}
    told_by_another_name = {"reading_found"}  # as `reading` of a part

    assert {one.name for one in published_pack().outcomes.values() if one.levels} - told_of == told_by_another_name


def test_what_is_told_is_borne_out() -> None:
    assert [faults(one, evaluation) for one, evaluation in told_somewhere().values() if faults(one, evaluation)] == []


def test_the_clauses_of_links_are_told_of_all_and_of_each_by_its_name() -> None:
    told_of_links = told_somewhere()["rooms", "link_clauses"][0].wanted
    of_each = {one for one in told_of_links if ": " in one}

    assert of_each and {one.rpartition(": ")[2] for one in of_each} == set(told_of_links) - of_each


def test_a_wrong_expectation_of_each_kind_is_noticed() -> None:
    unnoticed = [
        kind
        for kind, (one, evaluation) in told_somewhere().items()
        if not faults(Expectation(one.subject, one.name, one.key, wrong(one.wanted), ""), evaluation)
    ]

    assert unnoticed == []
    assert len(told_somewhere()) >= len(KINDS) + 20


def test_a_name_left_out_is_noticed_where_all_must_be_named() -> None:
    shorter = [
        kind
        for kind, (one, evaluation) in told_somewhere().items()
        if isinstance(one.wanted, list)
        and one.wanted
        and KEYS[one.subject][one.key][1] != AMONG
        and not faults(Expectation(one.subject, one.name, one.key, one.wanted[1:], ""), evaluation)
    ]

    assert shorter == []


def test_a_part_that_should_not_be_there_and_one_that_should_are_noticed() -> None:
    one, evaluation = told_somewhere()["parts", "act"]

    assert faults(Expectation("parts", one.name, "", None, ""), evaluation) == [
        f"parts {one.name} is there, expected not to be a thing of its own"
    ]
    assert faults(Expectation("parts", "attic/pipe", "act", "leave", ""), evaluation) == [
        "act of parts attic/pipe: there is no parts attic/pipe in the answer"
    ]


def test_an_outcome_that_is_not_told_of_this_answer_is_noticed() -> None:
    one, evaluation = told_somewhere()["feeder", "act"]

    assert faults(Expectation(one.subject, one.name, "danger", "none", ""), evaluation) == ["danger of feeder: nothing is told of it"]
