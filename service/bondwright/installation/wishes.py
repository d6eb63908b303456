"""What may stand at a place of a document, in words, told to whoever wrote something else there."""

from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from bondwright.installation.shapes import UNIT
from bondwright.installation.words import IN_WORDS, TEXT_INSTEAD
from bondwright.units import unit_ending, unit_of_field

Schemas: TypeAlias = Sequence[Mapping[str, Any]]
"""The schemas, without union or reference, of what may stand at one place."""

_BARE = "; the number alone, with no quotation marks and no unit after it"
_THOUSAND = 1000
_THOUSANDTHS = {"A": "mA", "m": "mm", "s": "ms"}
_THOUSANDFOLD = {"W": "kW", "mm": "m", "µS/cm": "mS/cm"}


def would_be_right(kind: str, given: object, schemas: Schemas) -> str:
    """What to write where `given` does not fit, or is missing; `kind` is the kind of fault as pydantic calls it."""
    if kind == "missing":
        return f"needed: write {wish(schemas)}"
    if given is None:
        says_unknown = "unknown" in _choices(schemas)
        return f"null says nothing: write {'`unknown`, or leave the key out' if says_unknown else wish(schemas)}"
    return f"write {wish(schemas)}{_not_as_text(given, schemas)}{_converted(given, schemas)}"


def _not_as_text(given: object, schemas: Schemas) -> str:
    """What to do with a number that came as text; empty where none is taken, or none came."""
    numbers = [schema for schema in schemas if schema.get("type") == "number"]
    if not (numbers and isinstance(given, str) and given.lstrip("+-.")[:1].isdigit()) or any("pattern" in schema for schema in schemas):
        return ""
    old = [schema[TEXT_INSTEAD] for schema in numbers if TEXT_INSTEAD in schema and "/" in given]
    return "; ".join([_BARE, *old])


def wish(schemas: Schemas) -> str:
    """What may stand at a place, in words."""
    kinds = list(dict.fromkeys(kind for schema in schemas if (kind := _kind(schema))))
    choices = _choices(schemas)
    if choices:
        kinds.append(f"one of {listed(choices)}" if len(choices) > 1 else f"`{choices[0]}`")
    return ", or ".join(kinds)


def unit_after(key: str, close: str) -> str:
    """The unit of the member that an unknown key is nearly, in words; empty where it has none."""
    unit = unit_of_field(close)
    if unit is None:
        return ""
    ending = unit_ending(close)
    other = key.startswith(f"{close.removesuffix(ending)}_") and not key.endswith(ending)
    return f" its number is in {unit}{', so convert it' if other else ''}"


def _converted(given: object, schemas: Schemas) -> str:
    """What a number that is out of range may have been meant in; empty where it is none, or no other unit is near."""
    if isinstance(given, bool) or not isinstance(given, int | float):
        return ""
    for schema in schemas:
        match schema:
            case {"type": "number", "minimum": lowest, "maximum": highest, "x-unit": unit}:
                # Multiplied, for a whole number of 400 digits cannot be divided.
                if given > highest and lowest * _THOUSAND <= given <= highest * _THOUSAND and unit in _THOUSANDTHS:
                    return f"; a number of {_THOUSANDTHS[unit]} is divided by {_THOUSAND}"
                if 0 < given < lowest and lowest <= given * _THOUSAND <= highest and unit in _THOUSANDFOLD:
                    return f"; a number of {_THOUSANDFOLD[unit]} is multiplied by {_THOUSAND}"
    return ""


def _choices(schemas: Schemas) -> list[str]:
    return list(
        dict.fromkeys(choice for schema in schemas for choice in schema.get("enum", [schema["const"]] if "const" in schema else []))
    )


def _kind(schema: Mapping[str, Any]) -> str:
    """What a schema wants that is no list of choices; empty for choices and null."""
    match schema:
        case {"enum": _} | {"const": _} | {"type": "null"}:
            return ""
        case {"type": "number", "minimum": lowest, "maximum": highest}:
            unit = f", in {schema[UNIT]}" if UNIT in schema else ""
            return f"a number from {lowest:.12g} to {highest:.12g}{unit}"
        case {"type": "array", "minItems": fewest, "maxItems": most}:
            return f"a list of {fewest} to {most}"
        case {"type": "array", "maxItems": most}:
            return f"a list of at most {most}"
        case {"type": "string", "format": "date"}:
            return "a day such as `2026-11-25`"
        case {"type": "string", "pattern": pattern}:
            examples = f" such as {listed(schema['examples'])}" if "examples" in schema else ""
            comma = "," if examples else ""
            return f"text{examples}: {schema[IN_WORDS]}" if IN_WORDS in schema else f"text{examples}{comma} that fits `{pattern}`"
        case {"type": "string", "minLength": fewest, "maxLength": most}:
            return f"text of {fewest} to {most} characters"
        case {"type": "object"}:
            return "an object"
    raise AssertionError("the schema grew a kind of value that has no words here")


def listed(words: Sequence[str]) -> str:
    """Words of a document, one after another."""
    return ", ".join(f"`{word}`" for word in words)
