"""What a vendor writes over the generated client; `bondwright_client` is there only once it has been generated.

A test checks this file with the generated package under mypy's strict rules, so what the client gives is typed throughout.
"""

import json
from io import BytesIO
from typing import TypeVar
from uuid import UUID

from bondwright_client import AuthenticatedClient
from bondwright_client.api.calculations import calculate_main_bond_size
from bondwright_client.api.evaluations import (
    create_batch,
    create_evaluation,
    find_evaluations,
    get_evaluation,
    get_outline,
    get_record,
    replay_evaluation,
)
from bondwright_client.api.rule_packs import get_rule_pack
from bondwright_client.models import (
    CalculationAnswer,
    Evaluation,
    EvaluationList,
    EvaluationSummary,
    Installation,
    MainBondSizeInputs,
    MainBondSizeInputsPmeConditions,
    PackContents,
    Problem,
    RecordedEvaluation,
    RecordedOutline,
    RecordInFull,
    ReplayAnswer,
)
from bondwright_client.types import File

Answer = TypeVar("Answer")


class Refused(Exception):
    """The service answered with a problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.title)
        self.problem = problem


def client(address: str, key: str) -> AuthenticatedClient:
    """A client that shows its key with every request."""
    return AuthenticatedClient(base_url=address, token=key)


def evaluate(caller: AuthenticatedClient, description: dict[str, object]) -> RecordedEvaluation:
    """The recorded evaluation of a description. Raises: Refused."""
    answer = _answered(create_evaluation.sync(client=caller, body=Installation.from_dict(description)))
    assert isinstance(answer, RecordedEvaluation), "an outline comes only where it is preferred"
    return answer


def outlined_at_once(caller: AuthenticatedClient, description: dict[str, object]) -> RecordedOutline:
    """The outline of a description, recorded as `evaluate` records it. Raises: Refused."""
    answer = _answered(create_evaluation.sync(client=caller, body=Installation.from_dict(description), prefer="return=minimal"))
    assert isinstance(answer, RecordedOutline), "the preference is applied"
    return answer


def outlined(caller: AuthenticatedClient, evaluation_id: UUID) -> RecordedOutline:
    """The outline of the evaluation of that id. Raises: Refused."""
    answer: RecordedOutline = _answered(get_outline.sync(evaluation_id, client=caller))
    return answer


def why(answered: RecordedEvaluation, part: str) -> list[str]:
    """What the rules say that determined the verdicts on a part. Raises: LookupError, if the answer has no such part."""
    answer = answered.evaluation
    if not isinstance(answer, Evaluation):
        raise LookupError("an answer of an earlier form")
    (found,) = (one for one in answer.parts if one.part == part)
    return [answer.reasons[place].says for verdict in found.verdicts for place in answer.verdicts[verdict].because]


def read_again(caller: AuthenticatedClient, evaluation_id: UUID) -> RecordedEvaluation:
    """The evaluation of that id. Raises: Refused."""
    answer: RecordedEvaluation = _answered(get_evaluation.sync(evaluation_id, client=caller))
    return answer


def found_by_reference(caller: AuthenticatedClient, reference: str) -> list[EvaluationSummary]:
    """The first page of what was recorded under a reference. Raises: Refused."""
    page: EvaluationList = _answered(find_evaluations.sync(client=caller, reference=reference))
    found: list[EvaluationSummary] = page.evaluations
    return found


def record(caller: AuthenticatedClient, evaluation_id: UUID) -> RecordInFull:
    """All that is kept of an evaluation. Raises: Refused."""
    answer: RecordInFull = _answered(get_record.sync(evaluation_id, client=caller))
    return answer


def replay(caller: AuthenticatedClient, evaluation_id: UUID) -> ReplayAnswer:
    """The evaluation worked out again. Raises: Refused."""
    return _answered(replay_evaluation.sync(evaluation_id, client=caller))


def main_bond_size(caller: AuthenticatedClient, neutral_mm2: float) -> CalculationAnswer:
    """The size of the main bond where PME conditions apply. Raises: Refused."""
    inputs = MainBondSizeInputs(pme_conditions=MainBondSizeInputsPmeConditions.APPLY, neutral_mm2=neutral_mm2)
    return _answered(calculate_main_bond_size.sync(client=caller, body=inputs))


def rule_pack(caller: AuthenticatedClient, pack_id: str) -> PackContents:
    """A rule pack. Raises: Refused."""
    answer: PackContents = _answered(get_rule_pack.sync(pack_id, client=caller))
    return answer


def evaluate_all(caller: AuthenticatedClient, descriptions: list[dict[str, object]]) -> list[dict[str, object]]:
    """What became of each, by one request; the last says how many there were. Raises: Refused."""
    lines = b"\n".join(json.dumps(one).encode() for one in descriptions)
    answer: File = _answered(create_batch.sync(client=caller, body=File(payload=BytesIO(lines))))
    return [json.loads(line) for line in answer.payload.read().splitlines()]


def _answered(answer: Answer | Problem | None) -> Answer:
    if isinstance(answer, Problem):
        raise Refused(answer)
    assert answer is not None, "answered with a status that the document does not declare"
    return answer
