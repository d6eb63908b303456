"""Rows drawn by few choices.

Of an object of n members hypothesis draws each member, and then their order by n - 1 choices more (6.170). In a row of facts the order
says nothing. Here members that are one of some values are drawn several at a time, as one number, and stand in the order given.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import prod
from typing import Any, TypeAlias

from hypothesis import strategies as st

Member: TypeAlias = Sequence[Any] | st.SearchStrategy[Any]
"""Values of which each is as likely, or a way to draw one."""

EVENLY = 256
"""From more than these hypothesis does not draw evenly: the first come far more often (6.170)."""


def drawn(members: Mapping[str, Member]) -> st.SearchStrategy[dict[str, Any]]:
    """An object with every one of `members`, each drawn by itself."""
    values = {name: member for name, member in members.items() if not isinstance(member, st.SearchStrategy)}
    alone = {name: member for name, member in members.items() if isinstance(member, st.SearchStrategy)}
    together = list(_together(values))

    def put_together(found: tuple[Any, ...]) -> dict[str, Any]:
        said: dict[str, Any] = dict.fromkeys(members)
        for names, number in zip(together, found, strict=False):
            for name in names:
                number, place = divmod(number, len(values[name]))
                said[name] = values[name][place]
        return said | dict(zip(alone, found[len(together) :], strict=True))

    numbers = [st.sampled_from(range(prod(len(values[name]) for name in names))) for names in together]
    return st.tuples(*numbers, *alone.values()).map(put_together)


def _together(values: Mapping[str, Sequence[Any]]) -> Iterator[tuple[str, ...]]:
    """The names, as many together as can be drawn evenly by one number."""
    names: tuple[str, ...] = ()
    ways = 1
    for name, some in values.items():
        if names and ways * len(some) > EVENLY:
            yield names
            names, ways = (), 1
        names, ways = (*names, name), ways * len(some)
    if names:
        yield names
