"""One deliberate mistake for each thing that the shelf must refuse."""

from tests.rules.mini import EDITION_FILE
from tests.rules.mistake import mistakes_in
from tests.rules.mistakes_in_rules import CONDITIONS, EXAMPLES, FORMS, RULES

HEADERS = mistakes_in(
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
NUMBERS = mistakes_in(
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
        "`500` lacks its unit; write `reading` in `mohm`, `ohm`, `kohm`, `Mohm`, `Gohm`, such as `500 mohm`",
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
TABLES = mistakes_in(
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
FACTS = mistakes_in(
    "vocabulary.yaml",
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
    ("a kind of subject named twice", "metal: {of: part", "metal: {of: [part, part]", "part]", "a kind of subject `part` stands twice"),
    ("a range that falls", "[0 ohm, 1000 ohm]", "[10 kohm, 1000 ohm]", "1000", "the second end of `range` must be above the first"),
    ("a fact called all", "  metal: {", "  all: {", "all", "`all` cannot be the name of a fact; conditions use it"),
)
REST = mistakes_in(
    "outcomes.yaml",
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
