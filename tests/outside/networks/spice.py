"""ngspice, a circuit simulator, run as a subprocess: lines of a netlist in, voltages and currents out.

Many networks stand in one netlist side by side, joined at node 0 alone, so that one run answers for all of them.
"""

import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

PROGRAM = shutil.which("ngspice")
HERTZ = 50

needs_ngspice = pytest.mark.skipif(PROGRAM is None, reason="ngspice is not installed; on Debian: apt-get install ngspice")

_ANSWER = re.compile(r"^(\S+) = ([-+.\de]+)(?:,\s*([-+.\de]+))?\s*$", re.MULTILINE)


def answers(analysis: str, netlist: Sequence[str], asked: Sequence[str], folder: Path) -> dict[str, complex]:
    """What ngspice gives for each expression `asked`, such as `v(n1)` or `i(v1)`; `analysis` is `op` or an `ac` command."""
    prints = [f"print {expression}" for expression in asked]
    text = ["* networks side by side", *netlist, ".control", "set numdgt=15", analysis, *prints, ".endc", ".end", ""]
    path = folder / "networks.cir"
    path.write_text("\n".join(text), encoding="utf-8")
    done = subprocess.run([str(PROGRAM), "-n", "-b", str(path)], capture_output=True, text=True, check=False, timeout=120)
    found = {name: complex(float(real), float(imaginary or 0)) for name, real, imaginary in _ANSWER.findall(done.stdout)}
    missing = [expression for expression in asked if expression not in found]
    assert not missing, f"ngspice gave no {missing[:3]}:\n{done.stdout[-2000:]}{done.stderr[-2000:]}"
    return found
