"""`bondwright calculate NAME --…`: one calculation; its options are its inputs."""

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Mapping
from contextlib import closing
from typing import Any, get_args

from pydantic.fields import FieldInfo

from bondwright.assembly import build
from bondwright.calculations.answer import answer_bytes
from bondwright.calculations.calculation import Calculation
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.cli.arguments import add_format
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.errors import Refused
from bondwright.installation.shapes import UNIT, json_schema
from bondwright.report.calculation import calculation_text
from bondwright.settings import read_settings
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.words.sentences import undeclared_calculations


def add_calculate(command: ArgumentParser) -> None:
    """Gives the command one of its own for each calculation."""
    names = command.add_subparsers(title="calculations", metavar="NAME", required=True)
    terms, say = terms_of(()), undeclared_calculations(rules_folder())
    for calculation in CALCULATIONS.values():
        title = calculation.title(say)
        own = names.add_parser(
            calculation.name,
            help=f"{title[:1].lower()}{title[1:]}",
            description=calculation.inputs.__doc__,
            allow_abbrev=False,
        )
        described = json_schema(calculation.inputs, terms)["properties"]
        for name, field in calculation.inputs.model_fields.items():
            _add_input(own, name, field, described[name])
        add_format(own)
        own.set_defaults(run=_calculate, calculation=calculation)


def _add_input(command: ArgumentParser, name: str, field: FieldInfo, schema: Mapping[str, Any]) -> None:
    option = f"--{name.replace('_', '-')}"
    said = " ".join(part for part in (field.description or "", _allowed(schema)) if part).replace("%", "%%")
    command.add_argument(option, dest=name, metavar="VALUE", required=field.is_required(), help=said)


def _allowed(schema: Mapping[str, Any]) -> str:
    """What may stand for an input, in words: its choices, its range, or that it is JSON."""
    schemas = schema.get("anyOf", [schema])
    choices = [str(choice) for one in schemas for choice in one.get("enum", [])]
    ranges = [_range(one) for one in schemas if "minimum" in one and "maximum" in one]
    texts = [f"text such as {', '.join(one['examples'])}" for one in schemas if "pattern" in one and "examples" in one]
    in_json = [
        "a list in JSON" if one["type"] == "array" else "an object in JSON" for one in schemas if one.get("type") in ("array", "object")
    ]
    told = [", ".join(choices)] if choices else []
    told += [*ranges, *texts, *in_json, *("an object in JSON" for one in schemas if "$ref" in one)]
    return f"({'; '.join(told)})" if told else ""


def _range(schema: Mapping[str, Any]) -> str:
    return f"{schema['minimum']:.12g} to {schema['maximum']:.12g} {schema.get(UNIT, '')}".rstrip()


def _calculate(asked: Namespace) -> int:
    calculation: Calculation = asked.calculation
    given = {name: getattr(asked, name) for name in calculation.inputs.model_fields if getattr(asked, name) is not None}
    document = {name: _value(text, calculation.inputs.model_fields[name]) for name, text in given.items()}
    with closing(build(read_settings())) as bondwright:
        try:
            answer = bondwright.calculate(calculation.name, json.dumps(document).encode())
            say = bondwright.pack(answer.pack_digest).say
        except Refused as error:
            for fault in error.faults:
                option, _, inside = fault.pointer.removeprefix("/").partition("/")
                place = f"--{option.replace('_', '-')}{f' (in it, /{inside})' if inside else ''}" if option else calculation.name
                print(f"{place}: {fault.detail}", file=sys.stderr)
            return WRONG_CALL
    print(answer_bytes(answer).decode() if asked.format == "json" else calculation_text(answer, say), end="")
    return DONE


def _value(text: str, field: FieldInfo) -> Any:
    """What an option means: JSON where the input is no text or choice, the text itself where it is or no JSON is written."""
    if _takes_text(field.annotation) and not _takes_number(field):
        return text
    try:
        return json.loads(text)
    except ValueError:
        return text


def _takes_text(annotation: Any) -> bool:
    return annotation is str or any(isinstance(one, str) or _takes_text(one) for one in get_args(annotation))


def _takes_number(field: FieldInfo) -> bool:
    return "float" in str(field.annotation)
