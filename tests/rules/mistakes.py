"""One deliberate mistake for each thing that the shelf must refuse: a change to the small good pack."""

from dataclasses import dataclass

from tests.rules.mini import EDITION_FILE, FILES

VOCABULARY, OUTCOMES, SOURCES = "vocabulary.yaml", "outcomes.yaml", "sources.yaml"


@dataclass(frozen=True, slots=True)
class Mistake:
    """In `file`, `right` is replaced by `wrong`; the refusal stands at the first `at` within `wrong` and has the words `says`."""

    claim: str
    file: str
    right: str
    wrong: str
    at: str
    says: str

    def text(self) -> str:
        """The file with the mistake in it."""
        assert self.right in FILES[self.file], f"the small pack no longer has {self.right!r}"
        return FILES[self.file].replace(self.right, self.wrong, 1)

    def place(self) -> str:
        """Where the refusal must point, as `file:line:column`."""
        before = self.text()[: FILES[self.file].index(self.right) + self.wrong.index(self.at)]
        return f"{self.file}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"


def _mistakes(file: str, *rows: tuple[str, str, str, str, str]) -> tuple[Mistake, ...]:
    return tuple(Mistake(claim, file, right, wrong, at, says) for claim, right, wrong, at, says in rows)


HEADERS = _mistakes(
    EDITION_FILE,
    ("a day that does not exist", "to: 2025-12-31", "to: 2025-02-30", "2025", "`2025-02-30` is no date; write `to` (or `open`) as"),
    ("a day written the other way round", "2026-06-30", "30.06.2026", "30", "write `review_by` as year-month-day"),
    ("an end before the start", "to: 2025-12-31", "to: 2019-12-31", "2019", "`to` 2019-12-31 is before `from` 2020-01-01"),
    ("a missing key", 'id: mini-first-r1\n  title: "A small book"', "id: mini-first-r1", "id", "`pack` lacks `title`"),
    ("a misspelt key", "review_by:", "reveiw_by:", "reveiw_by", "`pack` has no key `reveiw_by`; did you mean `review_by`?"),
    (
        "a pack id with spaces",
        "id: mini-first-r1",
        "id: mini first",
        "mini",
        "`mini first` cannot be the name of a pack; write a small letter",
    ),
    ("an empty text", 'title: "A small book"', 'title: ""', "title", "`title` has no value; write one"),
    ("a value left out", 'note: "Invented values."', "note:", "note", "`note` has no value; write one"),
    (
        "a text of two lines",
        'note: "Invented values."',
        'note: "Invented\n\n    values."',
        '"',
        "`note` must be one line of text; fold a long one",
    ),
    ("a section of another file", "series:\n", "facts: {}\nseries:\n", "facts", f"file `{EDITION_FILE}` has no key `facts`"),
)
NUMBERS = _mistakes(
    EDITION_FILE,
    (
        "a comma in a number",
        "below: reference",
        'below: "1,5 ohm"',
        '"',
        "`1,5 ohm` is no number as rule files write one; write digits with a dot",
    ),
    (
        "a comma in a flow map",
        "of: [6 mm2",
        "of: {6: 1,5}, x: [6 mm2",
        "5}",
        "`5` has no value; write one (`unknown` where nothing is known; a decimal",
    ),
    ("a leading zero", "[50, 16]", "[050, 16]", "050", "`050` is no number"),
    ("an exponent", "[50, 16]", "[5e1, 16]", "5e1", "`5e1` is no number"),
    ("a clock time as number", "[50, 16]", "[12:30, 16]", "12", "`12:30` is no number"),
    ("a negative number", "[50, 16]", "[50, -16]", "-16", "`-16` is no number"),
    ("a number too long to be held", "[50, 16]", f"[50, {'9' * 400}]", "9", "is no number as rule files write one"),
    (
        "a missing unit",
        "0.5 Mohm",
        "500",
        "500",
        "`500` lacks its unit; write `reading` in `mohm`, `ohm`, `kohm`, `Mohm`, such as `500 mohm`",
    ),
    ("a unit of another kind", "0.5 Mohm", "5 mA", "5", "`5 mA` has the wrong unit; write `reading` in `mohm`, `ohm`, `kohm`, `Mohm`"),
    ("an unknown unit", "0.5 Mohm", "5 Kohm", "5", "`Kohm` is no unit; did you mean `kohm`?"),
    ("a threshold outside the range", "0.5 Mohm", "2000 Mohm", "2000", "2e+09 ohm is outside the range of `reading`, 0 to 1e+09 ohm"),
    (
        "a named value of another unit",
        "at_least: isolation_limit",
        "at_least: touch_voltage",
        "touch",
        "`touch_voltage` is in `V`, but `reading` is in `ohm`",
    ),
    (
        "a value with the name of a fact",
        "  touch_voltage: {value",
        "  reading: {value",
        "reading",
        "`reading` is already the name of a fact",
    ),
    ("a series that falls", "[4, 6, 10, 16, 25]", "[4, 10, 6]", "6", "6 does not rise above 10 before it"),
    ("a series in a derived unit", "unit: mm2", "unit: kohm", "kohm", "is declared in the base unit; write `ohm` instead of `kohm`"),
)
TABLES = _mistakes(
    EDITION_FILE,
    ("limits that do not rise", "[50, 16]", "[35, 16]", "[", "limit 35 does not rise above 35 in the row before"),
    ("an entry that falls", "[50, 16]", "[50, 6]", "[", "entry 6 is smaller than 10 in the row before; entries never fall"),
    ("a last row with a limit", "[above, 25]", "[95, 25]", "95", "the last row must be `above`"),
    ("`above` before the last row", "[50, 16]", "[above, 16]", "above", "only the last row is `above`"),
    ("a table without rows", "rows: [[35, 10], [50, 16], [above, 25]]", "rows: []", "[", "a table has at least one row"),
    ("a row of three cells", "[50, 16]", "[50, 16, 1]", "[", "a row has two cells"),
    ("a limit outside the range", "[50, 16]", "[500, 16]", "[", "limit 500 is outside the range of `neutral`, 1 to 400 mm2"),
    ("a table that reads a choice", "reads: neutral", "reads: surroundings", "surr", "`surroundings` is no number fact"),
)
RULES = _mistakes(
    EDITION_FILE,
    (
        "an id used twice",
        "id: low-reference",
        "id: metal-from-ground",
        "id",
        f"rule id `metal-from-ground` is already used at {EDITION_FILE}:22",
    ),
    ("an id with capitals", "id: low-reference", "id: Low-Reference", "Low", "`Low-Reference` cannot be the name of a rule"),
    ("an unknown key", "blocks: [", "block: [", "block", "a rule has no key `block`; did you mean `blocks`?"),
    (
        "two actions",
        "id: low-reference\n",
        "id: low-reference\n    remarks: fault\n",
        "id",
        "rule `low-reference` has both `blocks` and `remarks`",
    ),
    (
        "no action",
        "id: low-reference\n    blocks: [reading-shows-isolation]",
        "id: low-reference",
        "id",
        "rule `low-reference` has no action; it has",
    ),
    ("an unknown outcome", "raises: {fault: fault}", "raises: {falt: fault}", "falt", "`falt` is no outcome; did you mean `fault`?"),
    (
        "an unknown level",
        "raises: {fault: fault}",
        "raises: {fault: faults}",
        "faults",
        "`faults` is no level of `fault`; did you mean `fault`?",
    ),
    (
        "a size that is raised",
        "raises: {fault: fault}",
        "raises: {bond_size: fault}",
        "{",
        "`bond_size` is a size and has no levels; use `sizes`",
    ),
    ("a ladder that is sized", "provides: {bond_size", "provides: {fault", "{", "`fault` has levels and is not a size; use `raises`"),
    (
        "two outcomes raised at once",
        "raises: {fault: fault}",
        "raises: {fault: fault, danger: danger}",
        "{",
        "`raises` is a map of one outcome",
    ),
    (
        "a target that is no rule",
        "relaxes: [metal-from-ground]",
        "relaxes: [metal-from-groud]",
        "metal",
        "`metal-from-groud` is no rule with `raises`; did you",
    ),
    (
        "a relaxed size",
        "relaxes: [metal-from-ground]",
        "relaxes: [bond-size]",
        "bond",
        "`bond-size` sizes; `relaxes` names only rules that have `raises`",
    ),
    (
        "a blocked raise",
        "blocks: [reading-shows-isolation]",
        "blocks: [bond-too-small]",
        "bond",
        "`bond-too-small` raises; `blocks` names only",
    ),
    (
        "targets of two stages",
        "relaxes: [metal-from-ground]",
        "relaxes: [metal-from-ground, part-in-doubt]",
        "[",
        "the targets differ: stage `classify` of",
    ),
    ("no target", "blocks: [reading-shows-isolation]", "blocks: []", "[", "the list is empty; name at least one rule with `relaxes`"),
    (
        "a clause that looks like a number",
        'clause: "411.3"',
        "clause: 411.3",
        "411",
        '`clause` is text that looks like a number; put it in quotes: "411.3"',
    ),
    ("an empty clause", 'clause: "411.3"', 'clause: " "', "clause", "`clause` has no value"),
    (
        "a source that is not declared",
        "from: practice",
        "from: practise",
        "practise",
        "`practise` is no declared source; did you mean `practice`?",
    ),
    (
        "an unknown kind of source",
        "kind: common_practice",
        "kind: usual",
        "usual",
        "`usual` is no kind of source; known: `stated`, `our_reading`",
    ),
    ("an unknown confidence", "confidence: from_memory", "confidence: sure", "sure", "`sure` is no confidence; known: `checked_twice`"),
    (
        "a hand-written origin",
        "id: low-reference\n",
        'id: low-reference\n    from: "x:1"\n',
        "from",
        "`from` is written by publishing; leave it out",
    ),
    (
        "a rule that does not start with its id",
        "- id: usual-size\n    provides: {bond_size: 10 mm2}",
        "- provides: {bond_size: 10 mm2}\n    id: usual-size",
        "id:",
        "write rule `usual-size` as",
    ),
)
CONDITIONS = _mistakes(
    EDITION_FILE,
    (
        "an unknown fact",
        "{metal: yes, ground: yes}\n",
        "{metel: yes, ground: yes}\n",
        "metel",
        "`metel` is no fact or outcome of `part`; did you mean `metal`?",
    ),
    (
        "a fact of another subject",
        "{metal: yes, ground: yes}\n",
        "{metal: yes, generator: yes}\n",
        "gen",
        "`generator` belongs to `installation`; a rule about",
    ),
    (
        "an outcome of the same stage",
        "{metal: yes, ground: yes}\n",
        "{extraneous: extraneous}\n",
        "ext",
        "outcome `extraneous` is decided in stage `classify`",
    ),
    ("an outcome of a later stage", "{metal: yes, ground: yes}\n", "{danger: danger}\n", "danger", "may test only earlier stages"),
    (
        "a test for unknown",
        "surroundings: soil}",
        "surroundings: unknown}",
        "unknown",
        "`unknown` is no value of `surroundings` that can be tested",
    ),
    (
        "a choice that does not exist",
        "surroundings: soil}",
        "surroundings: sol}",
        "sol",
        "`sol` is no value of `surroundings` that can be tested; did you mean `soil`?",
    ),
    ("yes for a choice", "surroundings: soil}", "surroundings: yes}", "yes", "`yes` is no value of `surroundings`"),
    (
        "false for no",
        "when: {generator: no}",
        "when: {generator: false}",
        "false",
        "`false` is no value of `generator` that can be tested; known: `yes`",
    ),
    ("a value listed twice", "slab]}}", "soil]}}", "soil", "value of `surroundings` that can be tested `soil` stands twice in the list"),
    (
        "a level that always holds",
        "{extraneous: extraneous, metal",
        "{extraneous: not_extraneous, metal",
        "not_",
        "write `not: {extraneous: extraneous}`",
    ),
    (
        "a number tested without comparison",
        "{reading: {at_most: 0.5 Mohm}}",
        "{reading: 5 ohm}",
        "5",
        "`reading` is a number; test it with one of at_least",
    ),
    ("an unknown comparison", "at_most: 0.5", "atmost: 0.5", "atmost", "`atmost` is no comparison of numbers; did you mean `at_most`?"),
    (
        "an operand of another unit",
        "{below: bond_size}",
        "{below: device_current}",
        "device",
        "`device_current` is in `A`, but `present_bond` is in `mm2`",
    ),
    ("an operand that is no number", "{below: reference}", "{below: surroundings}", "surr", "`surroundings` is not a number"),
    ("an empty condition", "when: {all: []}", "when: {}", "{", "the condition is empty; write `all: []` for one that always holds"),
    ("an empty any", "when: {all: []}", "when: {any: []}", "[", "an empty `any` never holds"),
    ("a condition that is a word", "when: {all: []}", "when: always", "always", "a condition must be a map"),
)
FORMS = _mistakes(
    EDITION_FILE,
    (
        "a table that does not exist",
        "{table: bond-by-neutral}",
        "{table: bond-by-netural}",
        "bond",
        "is no table; did you mean `bond-by-neutral`?",
    ),
    ("an unknown form", "{half_of:", "{halve_of:", "halve_of", "`halve_of` is no form; did you mean `half_of`?"),
    (
        "a form of two keys",
        "{half_of: {fact: neutral}}",
        "{half_of: {fact: neutral}, fact: neutral}",
        "{",
        "a form has one key: fact, value, table",
    ),
    ("operands of two units", "[6 mm2, {half", "[6 ohm, {half", "{half", "this gives a number in `mm2`; one in `ohm` is needed here"),
    (
        "a size in the wrong unit",
        "{bond_size: 10 mm2}",
        "{bond_size: 10 ohm}",
        "10",
        "this gives a number in `ohm`; one in `mm2` is needed here",
    ),
    (
        "a divisor that can be 0",
        "{fact: device_current}",
        "{fact: present_bond}",
        "{",
        "the divisor can be 0; give its fact a range that starts above 0",
    ),
    (
        "a quotient without a unit",
        "[{value: touch_voltage}, {fact: device_current}]",
        "[{value: touch_voltage}, {fact: neutral}]",
        "[",
        "`V` over `mm2` has no unit that rule files know",
    ),
    (
        "a series that does not exist",
        "series: stocked_sizes, of",
        "series: stoked_sizes, of",
        "stoked",
        "`stoked_sizes` is no series; did you mean `stocked_sizes`?",
    ),
    ("a choice in a form", "{fact: device_current}", "{fact: generator}", "generator", "`generator` is not a number"),
)
EXAMPLES = _mistakes(
    EDITION_FILE,
    (
        "an example of an unknown fact",
        "{metal: yes}, expect",
        "{metall: yes}, expect",
        "metall",
        "`metall` is no fact or outcome of `part`; did you mean `metal`?",
    ),
    (
        "an example outside the range",
        "neutral: 36 mm2}",
        "neutral: 500 mm2}",
        "500",
        "500 mm2 is outside the range of `neutral`, 1 to 400 mm2",
    ),
    (
        "an example without unit",
        "neutral: 36 mm2}",
        "neutral: 36}",
        "36",
        "`36` lacks its unit; write `neutral` in `mm2`, such as `36 mm2`",
    ),
    (
        "an expected outcome that does not exist",
        "expect: {fault: fault}",
        "expect: {faults: fault}",
        "faults",
        "`faults` is no outcome of `installation`",
    ),
    (
        "an expected level that does not exist",
        "expect: {fault: fault}",
        "expect: {fault: danger}",
        "danger",
        "`danger` is no level of `fault`",
    ),
    ("an expectation with an unknown key", "firm: no}}}\n  # A", "fixed: no}}}\n  # A", "fixed", "an expectation has no key `fixed`"),
    (
        "an example that expects nothing",
        "{given: {present_bond: 4 mm2, bond_size: 10 mm2}, expect: {fault: fault}}",
        "{given: {present_bond: 4 mm2}, expect: {}}",
        "{",
        "the example expects nothing; name an outcome",
    ),
    (
        "a level given that does not exist",
        "{given: {extraneous: extraneous",
        "{given: {extraneous: yes",
        "yes",
        "`yes` is no level of `extraneous`",
    ),
)
FACTS = _mistakes(
    VOCABULARY,
    (
        "a number fact without a range",
        "{of: part, kind: number, unit: ohm, range: [0 ohm, 1000 ohm], ",
        "{of: part, kind: number, unit: ohm, ",
        "{",
        "number fact `reference` lacks `range`",
    ),
    (
        "an unknown kind of fact",
        "metal: {of: part, kind: yes_no",
        "metal: {of: part, kind: yesno",
        "yesno",
        "`yesno` is no kind of fact; did you mean `yes_no`?",
    ),
    (
        "a fact without its question",
        '{of: part, kind: yes_no, meaning: "is metal right through", ask: "Is it metal?"}',
        "{of: part, kind: yes_no}",
        "{",
        "fact `metal` lacks `meaning`",
    ),
    (
        "choices of a yes/no fact",
        'kind: yes_no, meaning: "has',
        'kind: yes_no, choices: [a, b], meaning: "has',
        "choices",
        "yes_no fact `generator` has no key `choices`",
    ),
    (
        "a choice called unknown",
        "[soil, slab, free_air]",
        "[soil, unknown]",
        "unknown",
        "`unknown` cannot be the name of a choice; it has a meaning of its own",
    ),
    ("a single choice", "[soil, slab, free_air]", "[soil]", "soil", "only one choice is named; name at least two"),
    ("a range that falls", "[0 ohm, 1000 ohm]", "[10 kohm, 1000 ohm]", "1000", "the second end of `range` must be above the first"),
    ("a fact called all", "  metal: {", "  all: {", "all", "`all` cannot be the name of a fact; conditions use it"),
)
REST = _mistakes(
    OUTCOMES,
    ("a stage that does not exist", "stage: classify", "stage: clasify", "clasify", "`clasify` is no stage; did you mean `classify`?"),
    (
        "a subject without facts",
        "danger: {of: part,",
        "danger: {of: port,",
        "port",
        "`port` is no kind of subject with facts; did you mean `part`?",
    ),
    ("a stage named twice", "[classify, size, judge]", "[classify, size, size]", "size]", "stage `size` stands twice"),
    ("an outcome with the name of a fact", "  danger: {of", "  metal: {of", "metal", "`metal` is already the name of a fact"),
    ("an act without advice", "act: leave}", "act: go}", "go", "`go` is no act with advice; known: `bond`, `leave`"),
    (
        "a joined level that does not exist",
        "duty: [extraneous]",
        "duty: [extranous]",
        "extranous",
        "`extranous` is no level of an outcome; did you mean `extraneous`?",
    ),
    (
        "an unknown state of the bond",
        "cannot_rely]",
        "broken]",
        "broken",
        "`broken` is no state of a bond; known: `none`, `counts`, `cannot_rely`",
    ),
    ("an unknown mark", "mark: leave", "mark: maybe", "maybe", "`maybe` is no mark; known: `do`, `leave`, `do_not_connect`"),
    ("an unknown placeholder", '"Leave {part}."', '"Leave {parts}."', '"', "`line` cannot fill `{parts}`; it can fill `{part}`, `{place}`"),
    ("a brace left open", '"Leave {part}."', '"Leave {part."', '"', "`line` cannot fill `{`"),
    (
        "a reading that lacks a line",
        '{points: "a to b"',
        '{point: "a to b"',
        "point",
        "reading `isolation` has no key `point`; did you mean `points`?",
    ),
)

MISTAKES = (*HEADERS, *NUMBERS, *TABLES, *RULES, *CONDITIONS, *FORMS, *EXAMPLES, *FACTS, *REST)
"""All of them."""
