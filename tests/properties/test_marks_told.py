"""What an answer is found by is the same, told from the answer when it is written or read from its bytes."""

from hypothesis import HealthCheck, Phase, assume, given, settings
from tests.properties.descriptions import Said, installations
from tests.properties.judged import judged

from bondwright.audit.marks import marks_of, told
from bondwright.compose.written.writing import evaluation_bytes

MANY = settings(deadline=None, max_examples=120, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))


@MANY
@given(installations(rooms=2))
def test_an_answer_is_found_by_what_its_bytes_say(said: Said) -> None:
    answer = judged(said)
    assume(answer is not None)
    assert answer is not None
    content = evaluation_bytes(answer.evaluation)

    assert told(answer.evaluation, content).marks == marks_of(content)
