"""The driver: what it does when the native engine breaks its contract, and that its memory is freed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from bondwright.engine.compiled import Demand
from bondwright.engine.durable import Ruleset
from bondwright.errors import EngineFault

TWO_DEMANDS = (Demand(1, (0,), ("possible",), ()), Demand(2, (0, 1), ("certain",), ()))
# The native parser stops at a bare exponent without a word; in the first fact of a batch it would end the process.
CUT_SHORT = ('"a0":2,"a1":2', '"a0":1e5,"a1":2')


def resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def test_firings_are_pairs_of_demand_and_row() -> None:
    ruleset = Ruleset(TWO_DEMANDS)

    firings = ruleset.firings(['"a0":1,"a1":2', '"a0":0,"a1":2', '"a0":2,"a1":2'])
    ruleset.close()

    assert firings == {(0, 0), (0, 2), (1, 2)}


def test_a_batch_that_the_native_parser_cuts_short_is_a_fault() -> None:
    ruleset = Ruleset(TWO_DEMANDS)

    with pytest.raises(EngineFault, match="sentinel"):
        ruleset.firings([*CUT_SHORT, '"a0":2,"a1":2'])


def test_a_ruleset_is_not_used_again_after_a_fault() -> None:
    ruleset = Ruleset(TWO_DEMANDS)
    with pytest.raises(EngineFault):
        ruleset.firings(CUT_SHORT)

    with pytest.raises(EngineFault, match="closed"):
        ruleset.firings(['"a0":1,"a1":2'])


def test_closing_twice_is_harmless() -> None:
    ruleset = Ruleset(TWO_DEMANDS)

    ruleset.close()
    ruleset.close()


def test_two_hundred_rulesets_made_used_and_closed_leave_no_memory_taken() -> None:
    demands = [Demand(1 + number % 2, (number, number + 1), (f"r{number}",), ()) for number in range(60)]
    row = ",".join(f'"a{place}":2' for place in range(61))
    counts, before = set(), 0.0

    for number in range(210):
        ruleset = Ruleset(demands)
        counts.add(len(ruleset.firings([row] * 3)))
        ruleset.close()
        before = resident_mb() if number == 9 else before

    assert counts == {180}
    assert resident_mb() - before < 20  # 140 to 300 if either native call is left out


def test_a_wrongly_built_engine_is_reported_with_its_cure(tmp_path: Path) -> None:
    (tmp_path / "durable_rules_engine.py").write_text("raise ImportError('undefined symbol: PyEval_CallObject')")
    importing = "import sys; sys.path.insert(0, sys.argv[1]); import bondwright.engine.durable"

    done = subprocess.run([sys.executable, "-c", importing, str(tmp_path)], capture_output=True, text=True, check=False)

    assert 'EngineFault: the rule engine cannot be imported; on Python 3.13 build it with CC="cc -DPyEval' in done.stderr
