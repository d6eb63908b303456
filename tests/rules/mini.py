"""A small good pack as five editable files; every value in it is invented."""

from collections.abc import Mapping
from pathlib import Path

EDITION = "book/first"
EDITION_FILE = "book/first.yaml"

FILES: Mapping[str, str] = {
    EDITION_FILE: """\
# The edition's own file.
pack:
  id: mini-first-r1
  title: "A small book"
  standard: "BOOK 1:2020"
  usable: {from: 2020-01-01, to: 2025-12-31}
  review_by: 2026-06-30
  note: "Invented values."
values:
  isolation_limit: {value: 22 kohm, clause: "2.1", source: {from: small-book, kind: our_reading, confidence: secondary}}
  touch_voltage: {value: 50 V, clause: "4.1", source: {from: small-book, kind: stated, confidence: checked_once}}
series:
  stocked_sizes: {unit: mm2, members: [4, 6, 10, 16, 25]}
tables:
  bond-by-neutral:
    reads: neutral
    gives: mm2
    clause: "Table 5"
    source: {from: small-book, kind: stated, confidence: checked_twice}
    rows: [[35, 10], [50, 16], [above, 25]]
rules:
  - id: metal-from-ground             # the plain case
    raises: {extraneous: extraneous}
    when: {metal: yes, ground: yes}
    clause: "411.3"
    says: "Metal that comes from the ground can bring in a potential."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {metal: yes, ground: yes}, expect: {extraneous: extraneous}}
      - {given: {metal: yes}, expect: {extraneous: {worst_case: extraneous, firm: no}}}
  # A reading can show isolation.
  - id: reading-shows-isolation
    relaxes: [metal-from-ground]
    when: {all: [{reading: {at_least: isolation_limit}}, {not: {surroundings: [soil, slab]}}]}
    clause: "2.1"
    says: "A high reading shows that the current through a person stays small."
    source: {from: small-book, kind: our_reading, confidence: from_memory}
    examples:
      - {given: {metal: yes, ground: yes, reading: 22 kohm, surroundings: free_air}, expect: {extraneous: not_extraneous}}
  - id: low-reference
    blocks: [reading-shows-isolation]
    when: {any: [{reading: {below: reference}}, {surroundings: soil}]}
    clause: "own practice"
    says: "A reading below that of the reference proves nothing."
    source: {from: practice, kind: common_practice, confidence: from_memory}
  - id: reading-missing
    remarks: extraneous
    when: {reading: {at_most: 0.5 Mohm}}
    clause: "own practice"
    says: "The reading is worth repeating."
    source: {from: practice, kind: common_practice, confidence: from_memory}
  - id: bond-size
    sizes: {bond_size: {table: bond-by-neutral}}
    when: {generator: no}
    clause: "544.1"
    says: "The bond follows the neutral."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {generator: no, neutral: 36 mm2}, expect: {bond_size: 16}}
      - {given: {generator: no}, expect: {bond_size: {worst_case: 25, provisional: none, firm: no}}}
  - id: half-earthing-conductor
    sizes:
      bond_size: {round_up_to: {series: stocked_sizes, of: {smallest_of: [25 mm2, {largest_of: [6 mm2, {half_of: {fact: neutral}}]}]}}}
    when: {generator: yes}
    clause: "544.1"
    says: "Half the size, rounded up to a stocked one."
    source: {from: small-book, kind: stated, confidence: secondary}
  - id: usual-size
    provides: {bond_size: 10 mm2}
    when: {all: []}
    clause: "own practice"
    says: "Usual where nothing is known."
    source: {from: practice, kind: common_practice, confidence: from_memory}
  - id: earth-resistance
    sizes: {earth_resistance: {quotient: [{value: touch_voltage}, {fact: device_current}]}}
    when: {generator: no}
    clause: "415.2"
    says: "The touch voltage over the current."
    source: {from: small-book, kind: stated, confidence: secondary}
  - id: bond-too-small
    raises: {fault: fault}
    when: {present_bond: {below: bond_size}, bond_size: {above: 6 mm2}}
    clause: "544.1"
    says: "The bond that is there is smaller than the table asks."
    source: {from: small-book, kind: stated, confidence: secondary}
    examples:
      - {given: {present_bond: 4 mm2, bond_size: 10 mm2}, expect: {fault: fault}}
  - id: part-in-doubt
    raises: {danger: danger}
    when: {extraneous: extraneous, metal: yes}
    clause: "9.9"
    says: "A part that brings in a potential is looked at again."
    source: {from: practice, kind: common_practice, confidence: from_memory}
    examples:
      - {given: {extraneous: extraneous, metal: yes}, expect: {danger: danger}}
""",
    "vocabulary.yaml": """\
facts:
  metal: {of: part, kind: yes_no, meaning: "is metal right through", ask: "Is it metal?"}
  ground: {of: part, kind: yes_no, meaning: "comes from the ground", ask: "Does it come from the ground?"}
  surroundings: {of: part, kind: choice, choices: [soil, slab, free_air], meaning: "what it lies in", ask: "What does it lie in?"}
  reading: {of: part, kind: number, unit: ohm, range: [0 ohm, 1000 Mohm], evidence: yes, meaning: "measured to earth", ask: "Reading?"}
  reference: {of: part, kind: number, unit: ohm, range: [0 ohm, 1000 ohm], meaning: "of the reference", ask: "Its reading?"}
  generator: {of: installation, kind: yes_no, meaning: "has a generator", ask: "Is there a generator?"}
  neutral: {of: installation, kind: number, unit: mm2, range: [1 mm2, 400 mm2], meaning: "of the supply", ask: "What size is the neutral?"}
  present_bond: {of: installation, kind: number, unit: mm2, range: [0 mm2, 400 mm2], meaning: "that is there", ask: "What size is it?"}
  device_current: {of: installation, kind: number, unit: A, range: [10 mA, 100 A], meaning: "at which it trips", ask: "Which current?"}
asks:
  hidden_in: "What is the hidden length in?"
""",
    "outcomes.yaml": """\
stages: [classify, size, judge]
outcomes:
  extraneous:
    of: part
    stage: classify
    levels: {not_extraneous: "not extraneous", extraneous: "extraneous"}
    unsettled: {act_on: not_shown, words: "treat as extraneous"}
    otherwise: {clause: "Part 2", why: "no rule speaks", source: {from: small-book, kind: our_reading, confidence: secondary}}
  bond_size: {of: installation, stage: size, unit: mm2, cautious: larger,
    otherwise: {clause: "544.1", why: "no rule speaks",
      source: {from: small-book, kind: our_reading, confidence: secondary}}}
  earth_resistance: {of: installation, stage: size, unit: ohm, cautious: smaller,
    otherwise: {clause: "415.2", why: "no rule speaks",
      source: {from: small-book, kind: our_reading, confidence: secondary}}}
  fault: {of: installation, stage: judge, levels: {none: "nothing", fault: {words: "a fault (code F1)", code: F1}},
    unsettled: {act_on: not_judged, words: "not judged"},
    otherwise: {clause: "1", why: "nothing seen",
      source: {from: small-book, kind: our_reading, confidence: secondary}}}
  danger: {of: part, stage: judge, levels: {none: "nothing", danger: "danger"},
    otherwise: {clause: "1", why: "nothing seen",
      source: {from: small-book, kind: our_reading, confidence: secondary}}}
joined:
  - {duty: [extraneous], duty_firm: yes, objection: [none], bond: [none, cannot_rely], act: bond}
  - {act: leave}
advice:
  bond: {mark: do, line: "Bond {part} {place}: {size}.", customer: "A wire is needed.", ways_out: ["Measure."], tests: ["Test {bond}."],
    if_shared: bond_shared, instruction: connect}
  bond_shared: {mark: do, instruction: connect, line: "Bond {part} all the same.", customer: "A wire is needed."}
  leave: {mark: leave, instruction: leave, line: "Leave {part}.", customer: "Nothing to do."}
readings:
  isolation: {points: "a to b", range: "0 to 1", prepare: "part it", passes: "above", fails: "below", between: "ask"}
cautions: ["Values are invented."]
""",
    "materials.yaml": """\
properties:
  materials:
    copper: {conducts: yes}
    plastic: {conducts: no}
    unknown: {conducts: unknown}
""",
    "sources.yaml": """\
sources:
  small-book: {title: "A small book", note: "Invented."}
  practice: {title: "Common practice"}
""",
}


def shelve(folder: Path, files: Mapping[str, str] = FILES) -> Path:
    """The rules folder `folder`, with `files` written into it."""
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder
