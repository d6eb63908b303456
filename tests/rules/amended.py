"""The small good pack with an amendment: one change of each kind, and the folder and pack that changes make."""

from collections.abc import Mapping
from pathlib import Path

from tests.rules.mini import FILES, shelve

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack

AMENDMENT = "book/second"
AMENDMENT_FILE = "book/second.yaml"
HEADER = """\
# The amendment's own file.
amends: "book/first"
pack:
  id: mini-second-r1
  title: "A small book, amended"
  standard: "BOOK 2:2022"
  usable: {from: 2022-01-01, to: open}
  review_by: 2026-06-30
changes:
"""
CITED = 'clause: "9.1", source: {from: small-book, kind: stated, confidence: secondary}'
ADDED = """\
  - add:
    # New in this amendment.
    - id: metal-in-soil
      raises: {extraneous: extraneous}
      when: {metal: yes, surroundings: soil}
      clause: "9.1"
      says: "Metal in soil can bring in a potential."
      source: {from: small-book, kind: stated, confidence: secondary}
      examples:
        - {given: {metal: yes, surroundings: soil, ground: no}, expect: {extraneous: extraneous}}
"""
WITHDRAWN = f"""\
  - withdraw: reading-missing
    was: "The reading is worth repeating."
    {CITED.replace(", source", chr(10) + "    source")}
"""
REPLACED = """\
  - replace: low-reference
    was: "A reading below that of the reference proves nothing."
    with:
      - id: low-reference
        blocks: [reading-shows-isolation]
        when: {reading: {below: reference}}
        clause: "9.2"
        says: "A low reading proves nothing."
        source: {from: small-book, kind: stated, confidence: secondary}
"""
SET = """\
  - set:
      rule: earth-resistance
      clause: {was: "415.2", now: "415.2.2"}
      says: {was: "The touch voltage over the current.", now: "Fifty volts, \\"over\\" the current."}
      source:
        was: {from: small-book, kind: stated, confidence: secondary}
        now: {from: practice, kind: our_reading, confidence: secondary}
"""
CELL = f"  - set_cell: {{table: bond-by-neutral, up_to: 50, was: 16, now: 25, {CITED}}}\n"
VALUE = f"  - set_value: {{name: isolation_limit, was: 22 kohm, now: 7 kohm, {CITED}}}\n"


def amended(folder: Path, changes: str, more: Mapping[str, str] | None = None) -> Path:
    """The small good pack's folder with an amendment that makes `changes`."""
    return shelve(folder, {**FILES, AMENDMENT_FILE: HEADER + changes, **(more or {})})


def draft(folder: Path, changes: str) -> RulePack:
    """The pack of the amended edition."""
    return draft_pack(amended(folder, changes), AMENDMENT)


def line_of(words: str, text: str) -> int:
    """The number of the first line with `words`."""
    return next(number for number, line in enumerate(text.splitlines(), start=1) if words in line)
