"""Garbage, and when it is looked for: not while a process starts or evaluates, for what is made then stays, or is let go by itself."""

import ctypes
import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache

_NEW_OBJECTS = 50_000


@contextmanager
def nothing_collected() -> Iterator[None]:
    """Within it no garbage is looked for.

    Looking took 0.15 s of a start of 0.95 s, and found 900 objects of 150,000; of an evaluation of 8,000 bonds it took 0.9 s of 2.4, and
    found none (2026-11-29).
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def look_seldom() -> None:
    """Looks for garbage once so many objects are new, not 700: a usual evaluation makes thousands, nearly all let go by themselves.

    Looking after each took a fiftieth of it (2026-12-01). So many objects are some 5 MB, should all of them be garbage.
    """
    gc.set_threshold(_NEW_OBJECTS)


def keep_for_good() -> None:
    """Takes all that is loaded out of garbage collection: each full one would look at every object of it, 0.1 s for everyone who waits."""
    gc.freeze()


def give_back() -> None:
    """Gives what is free between things in use back to the system, where its allocator can: what is remembered is let go in bits.

    Without it the service grew by half a megabyte in a thousand evaluations though it held no more. It takes 1.3 ms (2026-11-30).
    """
    trim = _trim()
    if trim is not None:
        trim(0)


@cache
def _trim() -> Callable[[int], int] | None:
    try:
        found: Callable[[int], int] = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):  # no GNU C library
        return None
    return found
