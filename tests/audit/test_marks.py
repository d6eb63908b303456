"""What an evaluation is found by is what stands in the answer."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from tests.api.builders import HOUSE, described, service

from bondwright.audit.marks import Marks, marks_of
from bondwright.cli.demo import CASES, shipped_cases
from bondwright.compose.answer import Evaluation, SizeVerdict, Verdict
from bondwright.members import member_names
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

SENT = [HOUSE, described(), *(case.description for case in shipped_cases(rules_folder() / CASES)[::12])]


def _judged(value: Any) -> Iterator[Verdict | SizeVerdict]:
    """Every verdict and size of an answer, found by their types."""
    if isinstance(value, Verdict | SizeVerdict):
        yield value
    elif isinstance(value, tuple):
        for member in value:
            yield from _judged(member)
    else:
        for name in member_names(value):
            yield from _judged(getattr(value, name))


def _found_by(one: Verdict) -> tuple[str, ...]:
    return (one.worst_case, one.act_on) if one.act_on == "not_judged" else (one.worst_case,)


def _told(evaluation: Evaluation) -> Marks:
    judged = list(_judged(evaluation))
    reasons = [reason for one in judged for reason in one.because]
    return Marks(
        evaluation.reference,
        evaluation.pack.chosen_on,
        tuple(sorted({(reason.rule, reason.pack_id) for reason in reasons})),
        tuple(sorted({reason.clause for reason in reasons})),
        tuple(sorted({(one.outcome, word) for one in judged if isinstance(one, Verdict) for word in _found_by(one)})),
    )


def test_the_marks_are_what_the_answer_says(tmp_path: Path) -> None:
    with closing(service(on_shelf(rules_folder()), tmp_path / "record.sqlite")) as bondwright:
        answers = [bondwright.evaluate(raw) for raw in SENT]

    assert [_told(answer.evaluation) for answer in answers] == [marks_of(answer.body) for answer in answers]
    assert all(len(marks_of(answer.body).rules) > 5 for answer in answers[:1])


def test_what_no_rule_covers_is_found_as_not_judged_and_by_its_worst_case(tmp_path: Path) -> None:
    roof = described(locations=[{"kind": "solar_power"}])
    with closing(service(on_shelf(rules_folder()), tmp_path / "record.sqlite")) as bondwright:
        marks = marks_of(bondwright.evaluate(roof).body)

    assert {("supplementary_bonding", "not_judged"), ("supplementary_bonding", "required")} <= set(marks.levels)


def test_every_rule_of_the_marks_is_of_the_pack_that_decided(tmp_path: Path) -> None:
    with closing(service(on_shelf(rules_folder()), tmp_path / "record.sqlite")) as bondwright:
        answer = bondwright.evaluate(HOUSE)

    assert {pack_id for _, pack_id in marks_of(answer.body).rules} == {answer.pack.pack_id}


@pytest.mark.parametrize("content", [b"", b"\x00\xff[]", b"1", b"[]", b"null", b"{}", b'{"verdicts": []}', b'{"pack": 1}'])
def test_bytes_that_are_no_evaluation_have_no_marks(content: bytes) -> None:
    assert Marks() == marks_of(content)
