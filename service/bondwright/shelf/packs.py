"""Whole packs: a published file read, five editable files put together, the shelf of published packs."""

import hashlib
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.reading.advice import read_advice, read_cautions, read_joints, read_readings
from bondwright.shelf.reading.names import Vocabulary
from bondwright.shelf.reading.nodes import Node, Scalar, read_nodes, refused, shown
from bondwright.shelf.reading.rules import read_rules
from bondwright.shelf.reading.scalars import HYPHENED, as_items, as_map, day, fields, new_name, text
from bondwright.shelf.reading.values import read_series, read_tables, read_values
from bondwright.shelf.reading.vocabulary import read_asks, read_facts, read_outcomes, read_properties, read_sources, read_stages

EDITION_SECTIONS = ("pack", "values", "series", "tables", "rules")
"""Sections of an edition's own file."""
SHARED_FILES = (
    ("vocabulary.yaml", ("facts", "asks")),
    ("outcomes.yaml", ("stages", "outcomes", "joined", "advice", "readings", "cautions")),
    ("materials.yaml", ("properties",)),
    ("sources.yaml", ("sources",)),
)
"""Files that all editions share, in the order of the published file, each with its sections."""
LOCK = "published.lock"
"""One line for each published pack: its id, the SHA-256 of its file in hex, the day it was published."""

_FILE_MARK = re.compile(r"# ---- (\S+\.yaml)")
_ID_LINE = re.compile(r" *- +id: *[^\s#]+ *(?:#.*)?")
_FROM_LINE = re.compile(r' +from: "[^"]+:[0-9]+"')
_LOCK_LINE = re.compile(r"(\S+) ([0-9a-f]{64}) ([0-9]{4}-[0-9]{2}-[0-9]{2})")


def load_pack(text: bytes, file_name: str) -> RulePack:
    """The pack that a published file holds; `file_name` is its name within the rules folder. Raises: UnreadableRules."""
    known = (*EDITION_SECTIONS, *(name for _, names in SHARED_FILES for name in names))
    sections = fields(read_nodes(text, file_name), "a rule pack", known)
    header = fields(sections["pack"], "`pack`", ("id", "title", "standard", "usable", "review_by"), ("note",))
    usable_from, usable_to = _usable(header["usable"])
    vocabulary = _vocabulary(sections)
    advice = read_advice(sections["advice"])
    return RulePack(
        pack_id=new_name(header["id"], "a pack", HYPHENED),
        digest=hashlib.sha256(text).hexdigest(),
        title=_line(header, "title"),
        standard=_line(header, "standard"),
        usable_from=usable_from,
        usable_to=usable_to,
        review_by=day(header["review_by"], "`review_by`"),
        note=_line(header, "note") if "note" in header else "",
        stages=vocabulary.stages,
        facts=vocabulary.facts,
        outcomes=vocabulary.outcomes,
        tables=vocabulary.tables,
        values=vocabulary.values,
        properties=read_properties(sections["properties"]),
        asks=read_asks(sections["asks"]),
        joints=read_joints(sections["joined"], vocabulary.outcomes, advice),
        advice=advice,
        readings=read_readings(sections["readings"]),
        cautions=read_cautions(sections["cautions"]),
        sources=vocabulary.sources,
        rules=read_rules(sections["rules"], vocabulary),
        text=text,
    )


def _vocabulary(sections: Mapping[str, Node]) -> Vocabulary:
    values = tuple(as_map(sections["values"], "`values`").keys)
    stages, facts, sources = read_stages(sections["stages"]), read_facts(sections["facts"], values), read_sources(sections["sources"])
    return Vocabulary(
        stages=stages,
        facts=facts,
        outcomes=read_outcomes(sections["outcomes"], stages, facts, sources),
        sources=sources,
        values=read_values(sections["values"], sources, facts),
        series=read_series(sections["series"]),
        tables=read_tables(sections["tables"], sources, facts),
    )


def _line(entries: Mapping[str, Node], key: str) -> str:
    return text(entries[key], f"`{key}`")


def _usable(node: Node) -> tuple[date, date | None]:
    entries = fields(node, "`usable`", ("from", "to"))
    first, end = day(entries["from"], "`from`"), entries["to"]
    if isinstance(end, Scalar) and end.text == "open":
        return first, None
    last = day(end, "`to` (or `open`)")
    if last < first:
        raise refused(end.place, f"`to` {last} is before `from` {first}")
    return first, last


def consolidate(folder: Path, edition: str) -> bytes:
    """The published file of the editable files in `folder`; `edition` is such as `bs7671/2018-a4`.

    The files follow each other as they are, comments included, each under a line that names it; each rule gains the
    line `from: "FILE:LINE"` below its id. The same files give the same bytes. Raises: UnreadableRules.
    """
    edition_file = f"{edition}.yaml"
    lines: list[str] = []
    for name, known in ((edition_file, EDITION_SECTIONS), *SHARED_FILES):
        data = _read(folder / name, name)
        sections = fields(read_nodes(data, name), f"file `{name}`", known)
        lines += [f"# ---- {name}", *_with_origins(data.decode().splitlines(), sections.get("rules"))]
    return ("\n".join(lines) + "\n").encode()


def _with_origins(lines: list[str], rules: Node | None) -> list[str]:
    """The lines of a file, each rule's id line followed by one that says where the rule stands."""
    origins = {}
    for rule in as_items(rules, "`rules`") if rules else ():
        entries, keys = fields(rule, "a rule", ("id",), None), as_map(rule, "a rule").keys
        if "from" in entries:
            raise refused(keys["from"].place, "`from` is written by publishing; leave it out")
        place = keys["id"].place
        if not _ID_LINE.fullmatch(lines[place.line - 1]):
            raise refused(place, f"write rule {shown(_line(entries, 'id'))} as a block that starts with the line `- id: …`")
        origins[place.line] = f'{" " * (place.column - 1)}from: "{place.file}:{place.line}"'
    return [out for number, line in enumerate(lines, start=1) for out in (line, origins.get(number)) if out is not None]


def draft_pack(folder: Path, edition: str) -> RulePack:
    """The pack that publishing the files in `folder` would give; what is wrong is placed in the file to edit."""
    published = consolidate(folder, edition)
    try:
        return load_pack(published, f"draft of {edition}.yaml")
    except UnreadableRules as error:
        place = _editable_place(published.decode().splitlines(), error)
        raise refused(place, error.detail) from None


def _editable_place(lines: list[str], error: UnreadableRules) -> Place:
    """Where the line of an error in a consolidated text stands in the file it came from."""
    file, line = error.file, 0
    for earlier, published in enumerate(lines[: error.line]):
        if mark := _FILE_MARK.fullmatch(published):
            file, line = mark[1], 0
        elif not (earlier and _FROM_LINE.fullmatch(published) and _ID_LINE.fullmatch(lines[earlier - 1])):
            line += 1
    return Place(file, max(line, 1), error.column)


def published_packs(folder: Path) -> tuple[RulePack, ...]:
    """Every pack in `published/` of the rules folder, by file name; each file is compared with its line in the lock.

    Raises: UnreadableRules, also when a file was changed, has no line in `published.lock`, or a line has no file.
    """
    locked = _locked(folder)
    packs = []
    for path in sorted((folder / "published").glob("*.yaml")):
        name = f"published/{path.name}"
        line, digest = locked.pop(path.stem, (0, ""))
        if not line:
            raise UnreadableRules(name, 1, 1, f"pack `{path.stem}` has no line in `{LOCK}`")
        data = _read(path, name)
        if hashlib.sha256(data).hexdigest() != digest:
            raise UnreadableRules(
                name, 1, 1, f"the file differs from its digest in `{LOCK}`, line {line}; a published pack is never edited"
            )
        pack = load_pack(data, name)
        if pack.pack_id != path.stem:
            raise UnreadableRules(name, 1, 1, f"the file holds pack `{pack.pack_id}`; its name must be `{pack.pack_id}.yaml`")
        packs.append(pack)
    for pack_id, (line, _) in locked.items():
        raise UnreadableRules(LOCK, line, 1, f"pack {shown(pack_id)} has no file `published/{pack_id}.yaml`")
    return tuple(packs)


def _locked(folder: Path) -> dict[str, tuple[int, str]]:
    """Line and digest of each pack in the lock, which may be left out while nothing is published."""
    path = folder / LOCK
    locked: dict[str, tuple[int, str]] = {}
    text = _read(path, LOCK).decode("ascii", "replace") if path.exists() else ""
    for number, line in enumerate(text.split("\n"), start=1):
        found = _LOCK_LINE.fullmatch(line)
        if line and not found:
            raise UnreadableRules(LOCK, number, 1, "a line is `pack_id sha256 date`, with one space between")
        if found and found[1] in locked:
            raise UnreadableRules(LOCK, number, 1, f"pack {shown(found[1])} stands twice; first at line {locked[found[1]][0]}")
        if found:
            locked[found[1]] = (number, found[2])
    return locked


def rules_folder() -> Path:
    """The folder of rule files: inside the installed package, or at the top of the checkout."""
    package = Path(__file__).parent.parent
    inside = package / "_rules"
    return inside if inside.is_dir() else package.parent.parent / "rules"


def _read(path: Path, name: str) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        raise UnreadableRules(name, 1, 1, "the file cannot be read; is it missing?") from None
