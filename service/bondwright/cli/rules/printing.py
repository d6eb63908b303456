"""How the rules commands print: JSON, and what was checked as text, JSON or JUnit XML."""

from collections.abc import Mapping, Sequence
from typing import Any
from xml.etree import ElementTree

import orjson
from msgspec import Struct


class Finding(Struct, frozen=True):
    """One thing that was checked; `fault` is empty when nothing was found wrong."""

    name: str
    fault: str


def print_json(content: Any) -> None:
    """One JSON document on standard output."""
    print(orjson.dumps(content, option=orjson.OPT_INDENT_2).decode())


def print_findings(suite: str, findings: Sequence[Finding], form: str, counts: Mapping[str, int] | None = None, words: str = "") -> None:
    """What was checked: as text what is wanting and a count, as JSON, or as JUnit XML. `counts`, in `words`: what else was counted."""
    wanting = [finding for finding in findings if finding.fault]
    if form == "json":
        faults = [{"name": one.name, "fault": one.fault} for one in wanting]
        print_json({"checked": len(findings), **(counts or {}), "wanting": faults})
    elif form == "junit":
        print(_junit(suite, findings, counts or {}))
    else:
        for finding in wanting:
            print(f"WANTING {finding.name}: {finding.fault}")
        print(f"{suite}: {len(findings)} checked, {len(wanting)} wanting{f'; {words}' if words else ''}")


def _junit(suite: str, findings: Sequence[Finding], counts: Mapping[str, int]) -> str:
    failures = sum(1 for finding in findings if finding.fault)
    root = ElementTree.Element("testsuite", name=suite, tests=str(len(findings)), failures=str(failures))
    if counts:
        properties = ElementTree.SubElement(root, "properties")
        for name, count in counts.items():
            ElementTree.SubElement(properties, "property", name=name, value=str(count))
    for finding in findings:
        case = ElementTree.SubElement(root, "testcase", classname=suite, name=finding.name)
        if finding.fault:
            ElementTree.SubElement(case, "failure", message=finding.fault)
    return ElementTree.tostring(root, encoding="unicode")
