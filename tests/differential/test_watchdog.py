"""The bound on one engine call, which ends the whole process."""

import signal
import subprocess
import sys
import textwrap
import threading

from bondwright.engine.watchdog import watchdog

HANGING = """
from bondwright.engine.watchdog import watchdog
with watchdog(0.05):
    while True:
        pass
"""


def seconds_left() -> float:
    return signal.getitimer(signal.ITIMER_REAL)[0]


def test_a_hang_ends_the_process_by_the_alarm() -> None:
    done = subprocess.run([sys.executable, "-c", HANGING], timeout=120, check=False)

    assert done.returncode == -signal.SIGALRM


def test_the_alarm_is_set_inside_and_gone_afterwards() -> None:
    with watchdog(60):
        inside = seconds_left()

    assert 0 < inside <= 60
    assert seconds_left() == 0


def test_no_limit_sets_no_alarm() -> None:
    with watchdog(None):
        assert seconds_left() == 0


def test_a_hang_in_another_thread_ends_the_process_too() -> None:
    threaded = "import threading\ndef hang():\n" + textwrap.indent(HANGING, "    ") + "threading.Thread(target=hang).start()"

    done = subprocess.run([sys.executable, "-c", threaded], timeout=120, check=False)

    assert done.returncode == -signal.SIGALRM


def test_threads_take_turns_at_the_alarm() -> None:
    inside, left = threading.Event(), []

    def second() -> None:
        inside.set()
        with watchdog(600):
            left.append(seconds_left())

    thread = threading.Thread(target=second)
    with watchdog(60):
        thread.start()
        inside.wait()
        left.append(seconds_left())
    thread.join()

    assert [0 < left[0] <= 60 < left[1], seconds_left()] == [True, 0]


def test_a_handler_of_someone_else_is_left_alone() -> None:
    before = signal.signal(signal.SIGALRM, lambda *_: None)
    try:
        with watchdog(60):
            inside = seconds_left()
    finally:
        signal.signal(signal.SIGALRM, before)

    assert inside == 0


def test_an_alarm_of_someone_else_runs_on() -> None:
    signal.setitimer(signal.ITIMER_REAL, 600)
    try:
        with watchdog(60):
            pass
        left = seconds_left()
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)

    assert 60 < left <= 600
