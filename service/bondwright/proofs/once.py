"""What proofs work out once for a pack, and forget with it."""

import weakref
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from bondwright.rulebook.pack import RulePack

Made = TypeVar("Made")

_KEPT: dict[int, dict[Hashable, Any]] = {}


def once_for(pack: RulePack, key: Hashable, make: Callable[[], Made]) -> Made:
    """What `make` gives, made once for each key as long as this very pack is there."""
    if id(pack) not in _KEPT:
        _KEPT[id(pack)] = {}
        weakref.finalize(pack, _KEPT.pop, id(pack), None)
    kept = _KEPT[id(pack)]
    if key not in kept:
        kept[key] = make()
    found: Made = kept[key]
    return found
