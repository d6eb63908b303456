"""Declarations of places put into a copy of the editable rules that has none yet, as `undeclared-places.yaml` says them."""

import re
from pathlib import Path

from bondwright.shelf.places.declared import UNDECLARED_PLACES

_FACT = re.compile(r"^  ([a-z_0-9]+): (\{.*\}|[a-z_]+)$", re.MULTILINE)
_JUDGED = ("bath_or_shower", "ordinary_room")
_HEAD = "# What is judged of each kind of location: its duties, what is shown with each, and the act that these come to.\nplaces:\n"
_REPORTING = ("found:", "present:", "report:")
_ACTS_THAT_IT_LACKS = ("room_keep", "room_bond_or", "room_keep_and_rcd")


def with_places(folder: Path) -> None:
    """The rules in `folder` with a `from` at each fact of a place, and a file of places for each family; nothing where that is there."""
    if (folder / "places.yaml").exists():
        return
    facts, _, rest = (folder / UNDECLARED_PLACES).read_text(encoding="utf-8").partition("\nplaces:\n")
    forms = dict(_FACT.findall(facts))
    for vocabulary in folder.glob("**/vocabulary.yaml"):
        lines = vocabulary.read_text(encoding="utf-8").split("\n")
        vocabulary.write_text("\n".join(_with_form(line, forms) for line in lines), encoding="utf-8")
    named = rest.replace("  every_place:\n", f"  {_JUDGED[0]}:\n")
    declared = _HEAD + named.replace("joined_rooms:\n", f"  {_JUDGED[1]}: {{like: {_JUDGED[0]}}}\njoined_rooms:\n")
    (folder / "places.yaml").write_text(declared, encoding="utf-8")
    (folder / "iec60364" / "places.yaml").write_text(_without_reports(declared), encoding="utf-8")


def with_sentences(folder: Path) -> None:
    """The rules in `folder` with the sentences that code fills, as `undeclared-words.yaml` says them; nothing where they are there."""
    if not (folder / "sentences.yaml").exists():
        lines = (folder / "undeclared-words.yaml").read_text(encoding="utf-8").splitlines(keepends=True)
        (folder / "sentences.yaml").write_text("".join(lines[1:]), encoding="utf-8")


def _with_form(line: str, forms: dict[str, str]) -> str:
    name = line.strip().partition(":")[0]
    if name not in forms or not line.endswith("}") or ", from: " in line:
        return line
    return line.replace(", meaning:", f", from: {forms[name]}, meaning:", 1)


def _without_reports(text: str) -> str:
    """The same for a family that reports nothing, and has no words for the acts that rest on what was found or on one act that frees."""
    lines = [line for line in text.split("\n") if not line.strip().startswith(_REPORTING)]
    kept = (line for line in lines if not any(line.endswith(f"act: {act}}}") for act in _ACTS_THAT_IT_LACKS))
    return "\n".join(kept).replace(", report: room_report}", "}")
