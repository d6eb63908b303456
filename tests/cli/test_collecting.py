"""No garbage is looked for while a process starts, and it is again afterwards."""

import gc
from contextlib import suppress

from bondwright.collecting import nothing_collected


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
