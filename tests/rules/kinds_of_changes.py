"""A change of each kind in the small book: what it says, what the difference tells of it, and a `was` that the base does not say."""

from tests.rules.amended import CITED

_BLOCK = CITED.replace(", source", "\n    source")
_SOURCE = "source: {from: small-book, kind: stated, confidence: secondary}"
_NOTHING = 'otherwise: {clause: "1", why: "nothing seen", ' + _SOURCE + "}"
_FORMS = (
    '  - add: {clause_forms: first}\n    with: ["{clause}", "own practice"]\n  - add: {clause_forms: references}\n    with: ["{clause}"]\n'
)

CHANGES = {
    "a value is added": (
        f"  - add: {{value: touch_current}}\n    with: {{value: 10 mA, {CITED}}}\n",
        "value touch_current: added",
        ("touch_current}", "touch_voltage}", "value `touch_voltage` stands already at book/first.yaml:11; `change` it"),
    ),
    "a value is changed": (
        '  - change: {value: touch_voltage}\n    was: {value: 50 V}\n    now: {value: 25 V, clause: "9.1", ' + _SOURCE + "}\n",
        "value touch_voltage: value: was 50 V; now 25 V",
        ("was: {value: 50 V}", "was: {value: 60 V}", "the base has moved: value `touch_voltage` says `50 V` at book/first.yaml:11"),
    ),
    "a value is taken away": (
        "  - take_away: {value: touch_voltage}\n    was: {value: 50 V}\n"
        "  - change: {rule: earth-resistance}\n    was: "
        "{sizes: {earth_resistance: {quotient: [{value: touch_voltage}, {fact: device_current}]}}}\n"
        "    now: {sizes: {earth_resistance: {quotient: [50 V, {fact: device_current}]}}}\n",
        "value touch_voltage: removed",
        ("was: {value: 50 V}", "was: {value: 51 V}", "the base has moved: value `touch_voltage` says `50 V` at book/first.yaml:11"),
    ),
    "a table is added": (
        f"  - add: {{table: bond-again}}\n    with: {{reads: neutral, gives: mm2, {CITED}, rows: [[35, 6], [above, 10]]}}\n",
        "table bond-again: added",
        ("bond-again", "bond-by-neutral", "table `bond-by-neutral` stands already at book/first.yaml:16; `change` it"),
    ),
    "a table is changed": (
        "  - change: {table: bond-by-neutral}\n    was: {clause: Table 5}\n    now: {clause: Table 6}\n",
        "table bond-by-neutral: clause: was Table 5; now Table 6",
        ("was: {clause: Table 5}", "was: {clause: Table 4}", "the base has moved: table `bond-by-neutral` says"),
    ),
    "a row is added": (
        f"  - add: {{table: bond-by-neutral, row: 70}}\n    with: 25\n    {_BLOCK}\n",
        "table bond-by-neutral: row up to 70: was nothing; now 25",
        ("row: 70", "row: 50", "row `50` of table `bond-by-neutral` stands already; `change` it"),
    ),
    "a row is changed": (
        f"  - change: {{table: bond-by-neutral, row: 50}}\n    was: 16\n    now: 25\n    {_BLOCK}\n",
        "table bond-by-neutral: row up to 50: was 16; now 25",
        ("was: 16", "was: 10", "the base has moved: row `50` of table `bond-by-neutral` has `16` at book/first.yaml:20, not `10`"),
    ),
    "a row is taken away": (
        f"  - take_away: {{table: bond-by-neutral, row: 50}}\n    was: 16\n    {_BLOCK}\n",
        "table bond-by-neutral: row up to 50: was 16; now nothing",
        ("was: 16", "was: 10", "the base has moved: row `50` of table `bond-by-neutral` has `16` at book/first.yaml:20, not `10`"),
    ),
    "a row of a property is added": (
        "  - add: {property: materials, row: steel}\n    with: {conducts: yes}\n",
        "property materials: steel conducts: was nothing; now yes",
        ("row: steel", "row: copper", "row `copper` of property `materials` stands already at materials.yaml:3; `change` it"),
    ),
    "a fact is added": (
        '  - add: {fact: painted}\n    with: {of: part, kind: yes_no, meaning: "is painted", ask: "Is it painted?"}\n    after: metal\n',
        "fact painted: added",
        ("after: metal", "after: metall", "nothing is called `metall` there"),
    ),
    "a fact is changed": (
        '  - change: {fact: metal}\n    was: {ask: "Is it metal?"}\n    now: {ask: "Is it metal right through?"}\n',
        "fact metal: ask: was Is it metal?; now Is it metal right through?",
        ('was: {ask: "Is it', 'was: {ask: "Was it', "the base has moved: fact `metal` says"),
    ),
    "a fact is taken away": (
        '  - take_away: {fact: generator}\n    was: {ask: "Is there a generator?"}\n'
        "  - take_away: {condition: [bond-size, earth-resistance]}\n    was: {generator: no}\n"
        "  - change: {rule: [bond-size, earth-resistance]}\n    was: {when: {}}\n    now: {when: {all: []}}\n"
        f'  - withdraw: half-earthing-conductor\n    was: "Half the size, rounded up to a stocked one."\n    {_BLOCK}\n'
        "  - change: {example: bond-size}\n    was: {given: {generator: no, neutral: 36 mm2}, expect: {bond_size: 16}}\n"
        "    now: {given: {neutral: 36 mm2}}\n"
        "  - take_away: {example: bond-size}\n"
        "    was: {given: {generator: no}, expect: {bond_size: {worst_case: 25, provisional: none, firm: no}}}\n",
        "fact generator: removed",
        ('was: {ask: "Is there a', 'was: {ask: "Is here a', "the base has moved: fact `generator` says"),
    ),
    "an outcome is added": (
        f'  - add: {{outcome: found}}\n    with: {{of: part, stage: judge, levels: {{none: "nothing", found: "found"}}, {_NOTHING}}}\n',
        "outcome found: added",
        ("outcome: found", "outcome: danger", "outcome `danger` stands already at outcomes.yaml:"),
    ),
    "an outcome is changed": (
        '  - change: {outcome: extraneous}\n    was: {otherwise: {clause: "Part 2"}}\n    now: {otherwise: {clause: "Part 3"}}\n',
        "outcome extraneous: otherwise_clause: was Part 2; now Part 3",
        ('was: {otherwise: {clause: "Part 2"}}', 'was: {otherwise: {clause: "Part 1"}}', "the base has moved: outcome `extraneous` says"),
    ),
    "an outcome is taken away": (
        "  - take_away: {outcome: danger}\n    was: {of: part, stage: judge}\n"
        f'  - withdraw: part-in-doubt\n    was: "A part that brings in a potential is looked at again."\n    {_BLOCK}\n',
        "outcome danger: removed",
        ("was: {of: part, stage: judge}", "was: {of: part, stage: size}", "the base has moved: outcome `danger` says `judge`"),
    ),
    "a test is added to a condition": (
        "  - add: {condition: metal-from-ground}\n    with: {surroundings: soil}\n"
        "  - change: {example: metal-from-ground}\n    was: {given: {metal: yes, ground: yes}, expect: {extraneous: extraneous}}\n"
        "    now: {given: {metal: yes, ground: yes, surroundings: soil}}\n",
        "rule metal-from-ground: when: was {metal: yes, ground: yes}; now {metal: yes, ground: yes, surroundings: soil}",
        ("with: {surroundings: soil}", "with: {metal: no}", "condition of rule `metal-from-ground` tests `metal` already; `change` it"),
    ),
    "a condition is changed": (
        "  - change: {condition: bond-too-small}\n    was: {bond_size: {above: 6 mm2}}\n    now: {bond_size: {above: 5 mm2}}\n",
        "rule bond-too-small: when: was {present_bond: {below: bond_size}, bond_size: {above: 6 mm2}}; "
        "now {present_bond: {below: bond_size}, bond_size: {above: 5 mm2}}",
        ("was: {bond_size: {above: 6", "was: {bond_size: {above: 7", "the base has moved: condition of rule `bond-too-small` says"),
    ),
    "a test is taken out of a condition": (
        "  - take_away: {condition: bond-too-small}\n    was: {bond_size: {above: 6 mm2}}\n",
        "rule bond-too-small: when: was {present_bond: {below: bond_size}, bond_size: {above: 6 mm2}}; now {present",
        ("above: 6 mm2", "above: 7 mm2", "the base has moved: `bond_size` of condition of rule"),
    ),
    "an example is added": (
        "  - add: {example: metal-from-ground}\n    with: {given: {metal: no}, expect: {extraneous: not_extraneous}}\n",
        "rule metal-from-ground: example: was nothing; now {given: {metal: no}, expect: {extraneous: not_extraneous}}",
        ("{example: metal-", "{example: metals-", "`book/first.yaml` has no rule `metals-from-ground`; did you mean `metal-from-ground`?"),
    ),
    "an example is changed": (
        "  - change: {example: bond-size}\n    was: {given: {generator: no, neutral: 36 mm2}, expect: {bond_size: 16}}\n"
        "    now: {given: {generator: no, neutral: 50 mm2}, expect: {bond_size: 16}}\n",
        "rule bond-size: example: was {given: {generator: no, neutral: 36 mm2}, expect: {bond_size: 16}}; now {given: {generator: no, "
        "neutral: 50 mm2}, expect: {bond_size: 16}}",
        ("generator: no, neutral: 36", "generator: no, neutral: 37", "the base has moved: no example of rule"),
    ),
    "an example is taken away": (
        "  - take_away: {example: metal-from-ground}\n    was: {given: {metal: yes, ground: yes}, expect: {extraneous: extraneous}}\n",
        "rule metal-from-ground: example: was {given: {metal: yes, ground: yes}, expect: {extraneous: extraneous}}; now nothing",
        ("{metal: yes, ground: yes}", "{metal: yes, ground: no}", "the base has moved: no example of rule `metal-from-ground` says"),
    ),
    "a row of the acts is added before another": (
        "  - add: {row_of: joined}\n    with: {duty: [not_extraneous], act: leave}\n    before: {act: leave}\n",
        "list of joints: entry: was nothing; now duty not_extraneous",
        ("before: {act: leave}", "before: {act: bond}", "the base has moved: no row of `joined` says `{act: bond}`; it has 2"),
    ),
    "the words of an act are changed": (
        '  - change: {advice: leave}\n    was: {line: "Leave {part}."}\n    now: {line: "Leave {part} as it is."}\n',
        "advice leave: line: was Leave {part}.; now Leave {part} as it is.",
        ('was: {line: "Leave {part}."}', 'was: {line: "Let {part} be."}', "the base has moved: advice `leave` says"),
    ),
    "one source is stated of several rules": (
        "  - change: {rule: [low-reference, reading-missing]}\n    was: {source: {from: practice, kind: common_practice}}\n"
        "    now: {source: {from: small-book, kind: our_reading}}\n",
        "rule reading-missing: source: was",
        ("was: {source: {from: practice", "was: {source: {from: small-book", "the base has moved: rule `low-reference` says `practice`"),
    ),
    "the forms of clauses are declared": (
        f'{_FORMS}  - add: {{row_of: clauses/first}}\n    with: "Part {{number}}"\n    before: "own practice"\n',
        "clause forms first: added",
        ('before: "own practice"', 'before: "practice"', 'the base has moved: no row of `clauses/first` says `"practice"`; it has 2'),
    ),
    "a form of clauses is taken away": (
        f'{_FORMS}  - take_away: {{row_of: clauses/first}}\n    was: "own practice"\n',
        "clause forms first: added",
        ("row_of: clauses/first", "row_of: clauses/frist", "`clauses/frist` is no list of rows; did you mean `first`?"),
    ),
    "an outcome gets a role": (
        "  - add: {role: extraneity}\n    with: extraneous\n",
        "role extraneity: added",
        ("with: extraneous", "with: extraneus", "`extraneus` is no"),
    ),
    "a series gets another member": (
        "  - add: {row_of: series/stocked_sizes/members}\n    with: 35\n",
        "series stocked_sizes: members: was 4, 6, 10, 16, 25; now 4, 6, 10, 16, 25, 35",
        (
            "stocked_sizes/members",
            "stocked_size/members",
            "`series/stocked_size/members` is no list of rows; did you mean",
        ),
    ),
}
