"""What is the same in two OpenAPI documents with all that it refers to: nothing in it can break a caller."""

import json
import re
from collections.abc import Callable
from typing import Any

from tests.compatibility.places import Document, Place

Unchanged = Callable[[Place, Place], bool]
"""Whether two places hold the same, and whatever they refer to is the same as well."""

_REFERENCE = re.compile(r'"\$(?:ref|dynamicRef|recursiveRef)": "([^"]*)"')


def unchanged_between(released: Document, current: Document) -> Unchanged:
    """Tells what is unchanged; what refers to anything but components, or to one that is not there, counts as changed."""
    before, after = _components(released), _components(current)
    same = {name for name, value in before.items() if name in after and after[name] == value}
    referred = {name: _referred(after[name]) for name in same}
    while lost := {name for name in same if not referred[name] <= same}:
        same -= lost

    def unchanged(was: Place, now: Place) -> bool:
        return was.value is not None and was.value == now.value and _referred(was.value) <= same

    return unchanged


def _components(document: Document) -> dict[str, Any]:
    """Each component by the reference that leads to it."""
    sections: dict[str, dict[str, Any]] = document.get("components", {})
    return {f"#/components/{section}/{name}": value for section, named in sections.items() for name, value in named.items()}


def _referred(value: Any) -> set[str]:
    """What `value` refers to itself."""
    return set(_REFERENCE.findall(json.dumps(value)))
