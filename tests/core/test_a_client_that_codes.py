"""A program that codes by `act_on` alone writes what the page reports, over every worked case and near miss: no code without a finding."""

from collections import Counter
from typing import Any, TypeAlias

import pytest
from tests import paged
from tests.core import coding_client as client
from tests.core.cases import cases, judged
from tests.opened import in_place
from tests.properties import page as pages

from bondwright.compose.answer import Evaluation

Json: TypeAlias = Any

CASES = cases()
every_installation = pytest.mark.parametrize(
    "installation",
    [pytest.param(claim.installation, id=name) for case in CASES for name, claim in case.claims],
)


def answered(evaluation: Evaluation) -> Json:
    """What the program gets."""
    return client.as_it_reads(in_place(evaluation))


def reported(evaluation: Evaluation) -> dict[str, set[str]]:
    """The codes on the page of each part and room."""
    page = paged.page(evaluation)
    parts = {part.part: pages.codes(pages.about(page, part.name, part.pointer)) for part in evaluation.parts}
    return parts | {room.location: pages.codes(pages.about(page, room.name, room.pointer)) for room in evaluation.rooms}


def told_to_bond(evaluation: Evaluation) -> set[str]:
    """The parts that the page's first list says to bond; what is called as another is told by its place."""
    page = pages.flat(paged.page(evaluation))
    lines: dict[str, set[str]] = {}
    for part in evaluation.parts:
        lines.setdefault(part.name, set()).add(part.line)
    told = {part.part: part.line if len(lines[part.name]) > 1 else f"Bond {part.name} " for part in evaluation.parts}
    placed = {part.part: f" [{part.pointer}]" if len(lines[part.name]) > 1 else "" for part in evaluation.parts}
    return {name for name, line in told.items() if line.startswith("Bond ") and f"DO {line}{placed[name]}" in page}


@every_installation
def test_it_writes_the_codes_of_the_page_and_no_other(installation: Json) -> None:
    evaluation = judged(installation)

    assert client.codes(answered(evaluation)) == reported(evaluation)


@every_installation
def test_it_bonds_what_the_page_says_to_bond_and_nothing_else(installation: Json) -> None:
    evaluation = judged(installation)

    assert client.to_bond(answered(evaluation)) == told_to_bond(evaluation)


def test_it_was_shown_every_code_and_things_to_bond() -> None:
    met: Counter[str] = Counter()

    for case in CASES:
        for _, claim in case.claims:
            answer = answered(judged(claim.installation))
            met.update(code for found in client.codes(answer).values() for code in found)
            met["bond it"] += len(client.to_bond(answer))

    assert {word for word in (*client.CODES.values(), "bond it") if met[word] < 3} == set()


def by_the_worst_case(evaluation: Evaluation) -> Json:
    """An answer in which `act_on` is the worst case, as answers of form 1 had it."""
    answer = in_place(evaluation)

    def worsen(value: Json) -> Json:
        if isinstance(value, dict):
            worse = {"act_on": value["worst_case"]} if "worst_case" in value else {}
            return {**{name: worsen(inner) for name, inner in value.items()}, **worse}
        return [worsen(member) for member in value] if isinstance(value, list) else value

    return client.as_it_reads(worsen(answer))


def test_by_the_worst_case_it_would_code_and_bond_what_nobody_found() -> None:
    coded, bonded = [], []

    for case in CASES:
        evaluation = judged(case.claim.installation)
        answer = by_the_worst_case(evaluation)
        page = reported(evaluation)
        coded += [case.name for name, codes in client.codes(answer).items() if codes - page[name]]
        bonded += [case.name] if client.to_bond(answer) - told_to_bond(evaluation) else []

    assert "a-bond-that-nobody-measured-is-not-verified-and-is-no-defect-for-that" in coded
    assert "beyond-a-dry-upper-floor-the-bond-at-the-entry-serves-the-far-length" in bonded
