"""`bondwright rules amend`: opens the file of an amendment."""

import re
from argparse import Namespace

from bondwright.cli.rules.choosing import WrongCall, folder_of
from bondwright.cli.rules.publishing.checking import FILL_IN
from bondwright.cli.rules.publishing.writing import write_whole
from bondwright.cli.statuses import DONE
from bondwright.shelf.declared.declaration import FIRST
from bondwright.shelf.packs import draft_pack

_EDITION = re.compile(r"[a-z0-9-]+/[a-z0-9-]+")

_SOURCE = "{from: SOURCE, kind: stated, confidence: secondary}"

_FILE = """\
# An amendment: {base} with the changes below. Fill in the four lines of `pack:`; until then it cannot be published.
amends: {base}
pack:
  id: {family}-{name}-r1
{format}  title: "{fill_in}: such as {title}"
  standard: "{fill_in}: such as {standard}"
  usable: {{from: {fill_in}, to: open}}
  review_by: {fill_in}
changes: []
# Examples of changes; FORMAT.md has all. A change that you write goes below `changes:`, moved in as these are, and the `[]` then goes.
# `was` is what stands there now: if it stands there no longer, the file is refused.
#  - set_cell: {{table: TABLE, up_to: 50, was: 16, now: 25, clause: "CLAUSE", source: {source}}}
#  - set_cell: {{reference: TABLE, row: [KEY, 10], was: 1.83, now: 1.84, clause: "CLAUSE", source: {source}}}
#  - set_cell: {{property: PROPERTY, row: ROW, column: COLUMN, was: yes, now: unknown, clause: "CLAUSE", source: {source}}}
#  - set_value: {{name: VALUE, was: 10 mA, now: 5 mA, clause: "CLAUSE", source: {source}}}
#  - change: {{rule: RULE}}
#    was: {{says: "OLD SENTENCE"}}
#    now: {{says: "NEW SENTENCE"}}
#  - change: {{condition: RULE}}
#    was: {{FACT: yes}}
#    now: {{FACT: no}}
#  - change: {{example: RULE}}
#    was: {{given: {{FACT: yes}}, expect: {{OUTCOME: LEVEL}}}}
#    now: {{expect: {{OUTCOME: OTHER-LEVEL}}}}
#  - add: {{value: NAME}}
#    with: {{value: 10 mA, clause: "CLAUSE", source: {source}}}
#  - add: {{table: TABLE, row: 70}}
#    with: 25
#    clause: "CLAUSE"
#    source: {source}
#  - take_away: {{fact: FACT}}
#    was: {{ask: "WHAT IS ASKED NOW?"}}
#  - withdraw: RULE
#    was: "WHAT THE RULE SAYS NOW"
#    clause: "CLAUSE"
#    source: {source}
#  - replace: RULE
#    was: "WHAT THE RULE SAYS NOW"
#    with:
#      - id: RULE
#        raises: {{OUTCOME: LEVEL}}
#        when: {{FACT: yes}}
#        clause: "CLAUSE"
#        says: "ONE PLAIN SENTENCE."
#        source: {source}
#        examples: []
#  - add:
#      - id: A-NEW-RULE
#        raises: {{OUTCOME: LEVEL}}
#        when: {{FACT: yes}}
#        clause: "CLAUSE"
#        says: "ONE PLAIN SENTENCE."
#        source: {source}
#        examples: []
# Why something is more lenient than in the pack that this one follows; `publish` prints what is missing. At the left margin, without the #:
#lenient:
#  - since: {family}-PACK-r1
#    outcome: OUTCOME
#    because: "ONE PLAIN SENTENCE."
#    clause: "CLAUSE"
#    source: {source}
"""


def amend(asked: Namespace) -> int:
    """Writes the file of an amendment with nothing changed yet; refused where the file is there already."""
    folder = folder_of(asked)
    base = draft_pack(folder, asked.base)
    if not _EDITION.fullmatch(asked.new):
        raise WrongCall(f"`{asked.new}` is no name of an edition; write FAMILY/NAME in small letters, such as `{asked.base}-next`")
    family, _, name = asked.new.partition("/")
    path = folder / f"{asked.new}.yaml"
    if path.exists():
        raise WrongCall(f"{asked.new}.yaml:1:1: there is a file of that name; it was left as it is")
    if not path.parent.is_dir():
        raise WrongCall(
            f"there is no family `{family}`; an amendment stands beside its base, such as `{asked.base.partition('/')[0]}/{name}`"
        )
    text = _FILE.format(
        base=asked.base,
        family=family,
        name=name,
        format="" if base.format == FIRST else f"  format: {base.format}\n",
        title=base.title,
        standard=base.standard,
        source=_SOURCE,
        fill_in=FILL_IN,
    )
    write_whole(path, text.encode())
    print(f"opened {path}: fill in the four lines of `pack:`, then change it with `bondwright rules set-cell {asked.new} NAME KEY`")
    return DONE
