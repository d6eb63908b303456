"""Readings that were taken as they are answered, and what to look at or measure next."""

from bondwright.compose.answer import ReadingAnswer, Verdict
from bondwright.compose.verdicts import verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.row import Judged
from bondwright.facts.tests import Tested


def reading_answers(tested: Tested, reasoning: Reasoning) -> tuple[ReadingAnswer, ...]:
    """The readings on one part, in the order found."""
    return tuple(_answer(reading, reasoning) for reading in tested.readings)


def next_test(tested: Tested, reasoning: Reasoning) -> Verdict:
    """What is to be looked at or measured next."""
    return verdict(tested.next_test, reasoning.pack.roles.next_test, reasoning)


def readings_reported(tested: Tested, reasoning: Reasoning) -> tuple[Verdict, ...]:
    """What an inspection reports of the readings, each thing once; nothing of those that are sound."""
    report = reasoning.pack.roles.reading_reported
    if report not in reasoning.pack.outcomes:
        return ()
    told = [verdict(reading, report, reasoning) for reading in tested.readings if reading.levels[report].worst_case > 0]
    return tuple({one.act_on: one for one in told}.values())


def _answer(reading: Judged, reasoning: Reasoning) -> ReadingAnswer:
    found = verdict(reading, reasoning.pack.roles.reads, reasoning)
    return ReadingAnswer(reading.name, reading.pointer, reasoning.pack.say("reading_line", reading=reading.name, told=found.words), found)
