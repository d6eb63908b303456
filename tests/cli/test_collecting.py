"""No garbage is looked for while a process starts, and it is again afterwards; what is free is given back."""

import gc
import platform
from contextlib import suppress
from pathlib import Path

import pytest

from bondwright.collecting import give_back, look_seldom, nothing_collected


def test_nothing_is_collected_within_and_again_afterwards() -> None:
    assert gc.isenabled()

    with nothing_collected():
        within = gc.isenabled()

    assert (within, gc.isenabled()) == (False, True)


def test_it_is_collected_again_after_a_start_that_failed() -> None:
    with suppress(ValueError), nothing_collected():
        raise ValueError

    assert gc.isenabled()


def test_one_start_within_another_ends_with_the_outer_one() -> None:
    with nothing_collected():
        with nothing_collected():
            pass
        within = gc.isenabled()

    assert (within, gc.isenabled()) == (False, True)


def test_garbage_is_looked_for_once_there_are_many_new_objects() -> None:
    before, looked = gc.get_threshold(), list[int]()
    gc.collect()  # what other tests made counts too
    gc.callbacks.append(lambda phase, _: looked.append(len(rings)) if phase == "start" else None)
    rings = list[list[object]]()
    try:
        look_seldom()
        while not looked and len(rings) < 200_000:
            rings.append([])
            rings[-1].append(rings[-1])
    finally:
        gc.callbacks.pop()
        gc.set_threshold(*before)

    assert [10_000 < one < 100_000 for one in looked] == [True]


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="no GNU C library, whose allocator can give back")
def test_what_is_free_below_what_is_in_use_is_given_back() -> None:
    blocks = [bytes(4_000) for _ in range(5_000)]
    in_use = blocks[::100]
    del blocks
    before = _held_mb()

    give_back()

    assert len(in_use) == 50
    assert before - _held_mb() > 10


def _held_mb() -> float:
    """What this process holds in RAM, as Linux tells it."""
    line = next(line for line in Path("/proc/self/status").read_text(encoding="utf-8").splitlines() if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024
