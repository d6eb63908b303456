"""A small family of rules of the tests' own, with a base and an amendment, that passes every check; every value in it is invented."""

from collections.abc import Mapping
from pathlib import Path

from bondwright.cli import main

BASE = "book/first"
AMENDMENT = "book/second"

FILES: Mapping[str, str] = {
    "book/first.yaml": """\
pack:
  id: book-first-r1
  title: "A small book"
  standard: "BOOK 1:2020"
  usable: {from: 2020-01-01, to: 2021-12-31}
  review_by: 2026-06-30
values:
  least: {value: 6 mm2, clause: "544.1", source: {from: small-book, kind: stated, confidence: checked_once}}
series: {}
tables:
  bond-by-neutral:
    reads: neutral
    gives: mm2
    clause: "Table 5"
    source: {from: small-book, kind: stated, confidence: secondary}
    rows: [[35, 10], [50, 16], [above, 25]]
rules:
  - id: metal-from-ground
    raises: {main_bonding: required}
    when: {metal: yes, ground: yes}
    clause: "411.3"
    says: "Metal that comes from the ground can bring in a potential."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {metal: yes, ground: yes, doubted: no}, expect: {main_bonding: required}}
      - {given: {metal: yes, ground: no, doubted: no}, expect: {main_bonding: not_required}}
      - {given: {metal: no, ground: yes, doubted: yes}, expect: {main_bonding: not_required}}
      - {given: {metal: yes}, expect: {main_bonding: {worst_case: required, firm: no}}}
  - id: low-voltage-apart
    raises: {objection: objection}
    when: {apart: yes}
    clause: "414"
    says: "What is kept apart from earth stays apart."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {apart: yes}, expect: {objection: objection}}
      - {given: {apart: no}, expect: {objection: no_objection}}
  - id: bond-size
    sizes: {bond_size: {table: bond-by-neutral}}
    when: {all: []}
    clause: "544.1; Table 5"
    says: "The bond follows the neutral."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {neutral: 35 mm2}, expect: {bond_size: 10}}
      - {given: {neutral: 35.1 mm2}, expect: {bond_size: 16}}
      - {given: {neutral: 50 mm2}, expect: {bond_size: {worst_case: 16, provisional: none, firm: yes}}}
      - {given: {neutral: 50.1 mm2}, expect: {bond_size: 25}}
      - {given: {}, expect: {bond_size: {lowest: 10, highest: 25, firm: no}}}
""",
    "book/second.yaml": """\
# The second book.
amends: book/first
pack:
  id: book-second-r1
  title: "A small book, second edition"
  standard: "BOOK 1:2020+A1:2022"
  usable: {from: 2022-01-01, to: open}
  review_by: 2026-06-30
changes:
  # what the first book did not say
  - add:
      - id: metal-in-doubt
        raises: {main_bonding: in_doubt}
        when: {metal: yes, doubted: yes}
        clause: "411.3.1"
        says: "Metal is looked at twice."
        source: {from: small-book, kind: stated, confidence: secondary}
        examples:
          - {given: {metal: yes, ground: no, doubted: yes}, expect: {main_bonding: in_doubt}}
          - {given: {metal: no, ground: no, doubted: yes}, expect: {main_bonding: not_required}}
# the end
""",
    "vocabulary.yaml": """\
facts:
  metal: {of: part, kind: yes_no, meaning: "is metal right through", ask: "Is it metal?"}
  ground: {of: part, kind: yes_no, meaning: "comes from the ground", ask: "Does it come from the ground?"}
  doubted: {of: part, kind: yes_no, meaning: "somebody doubts it", ask: "Is it in doubt?"}
  apart: {of: part, kind: yes_no, meaning: "is kept apart from earth", ask: "Is it kept apart?"}
  neutral: {of: installation, kind: number, unit: mm2, range: [1 mm2, 400 mm2], meaning: "of the supply", ask: "What size is the neutral?"}
asks: {}
""",
    "outcomes.yaml": """\
stages: [classify, size]
outcomes:
  main_bonding: {of: part, stage: classify, levels: {not_required: "not required", in_doubt: "in doubt", required: "required"},
    otherwise: {clause: "Part 2", why: "no rule speaks", source: {from: small-book, kind: our_reading, confidence: secondary}}}
  objection: {of: part, stage: classify, levels: {no_objection: "none", objection: "an objection"},
    otherwise: {clause: "1", why: "no rule speaks", source: {from: small-book, kind: our_reading, confidence: secondary}}}
  bond_size: {of: installation, stage: size, unit: mm2, cautious: larger,
    otherwise: {clause: "544.1", why: "no rule speaks", source: {from: small-book, kind: our_reading, confidence: secondary}}}
joined:
  - {objection: [objection], act: leave}
  - {duty: [required], act: bond}
  - {act: leave}
advice:
  bond: {mark: do, line: "Bond {part}: {size}.", customer: "A wire is needed."}
  leave: {mark: leave, line: "Leave {part}.", customer: "Nothing to do."}
readings: {}
cautions: ["Values are invented."]
""",
    "materials.yaml": "properties: {}\n",
    "sources.yaml": """\
sources:
  small-book: {title: "A book that nobody wrote", note: "invented"}
""",
}


def publish(rules: Path, edition: str = AMENDMENT, *options: str) -> int:
    """The exit status of publishing an edition of that folder; no worked case is about these rules."""
    return main(["rules", "publish", edition, "--rules", str(rules), "--without-cases", *options])


def excused(rules: Path, edition: str, since: str, about: str, name: str) -> None:
    """Gives a reason for leniency in the file of an edition, in the place of those before."""
    path = rules / f"{edition}.yaml"
    text = path.read_text(encoding="utf-8").partition("lenient:\n")[0]
    reason = f"""\
lenient:
  - since: {since}
    {about}: "{name}"
    because: "The book says so now."
    clause: "544.1"
    source: {{from: small-book, kind: stated, confidence: secondary}}
"""
    path.write_text(text + reason, encoding="utf-8")


def written(folder: Path) -> Path:
    """The files in `folder`."""
    for name, text in FILES.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder
