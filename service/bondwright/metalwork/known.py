"""Yes, unknown and no as an order of how far something is so."""

from bondwright.metalwork.graph import Known

_ORDER: tuple[Known, ...] = ("no", "unknown", "yes")


def known(word: str) -> Known:
    """A word of a description or table as yes, unknown or no; anything else counts as unknown."""
    return "yes" if word == "yes" else "no" if word == "no" else "unknown"


def stands_inside(stands: str) -> Known:
    """Whether any of what stands there is inside the building."""
    return "yes" if stands in ("inside", "both") else "no" if stands == "outside" else "unknown"


def both(*values: Known) -> Known:
    """Whether all of them are so."""
    return "no" if "no" in values else "unknown" if "unknown" in values else "yes"


def either(*values: Known) -> Known:
    """Whether at least one of them is so; none at all is no."""
    return "yes" if "yes" in values else "unknown" if "unknown" in values else "no"


def opposite(value: Known) -> Known:
    """Whether it is not so."""
    return _ORDER[2 - _ORDER.index(value)]
