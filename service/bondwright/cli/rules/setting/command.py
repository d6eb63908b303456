"""`bondwright rules set-cell`: one number or word, changed in an amendment by someone who needs to know no programming.

The change is spliced into the file as text, so comments survive. It is tried on a copy first: what the rules refuse is not written.
"""

import re
from argparse import Namespace

from bondwright.cli.rules.choosing import WrongCall, folder_of
from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.writing import write_whole
from bondwright.cli.rules.setting.asking import Entry, entry
from bondwright.cli.rules.setting.cell import Cell, cell_of
from bondwright.cli.rules.setting.examples import with_examples
from bondwright.cli.rules.setting.own_changes import cell_changed, with_change, without_change
from bondwright.cli.rules.setting.revisions import as_published, next_revision, since, tried
from bondwright.cli.statuses import DONE
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.lines import flow
from bondwright.shelf.packs import draft_pack


def set_cell(asked: Namespace) -> int:
    """Asks for the new entry twice and for what it rests on, writes the change with the old entry beside it, shows what changed."""
    folder = folder_of(asked)
    path = folder / f"{asked.edition}.yaml"
    before = draft_pack(folder, asked.edition)
    text = path.read_text(encoding="utf-8")
    if not re.search("^amends:", text, re.MULTILINE):
        first = f"`bondwright rules amend {asked.edition} {asked.edition}-next` first"
        raise WrongCall(f"{asked.edition}.yaml:1:1: this edition is a base and is not changed; {first}")
    cell = cell_of(consolidated(folder, asked.edition).root, before, asked.name, asked.keys)
    new = entry(asked, before, cell)
    written = _with_cell(next_revision(folder, text), cell, new)
    written = with_examples(written, before, tried(folder, asked.edition, written), asked.confirm_examples)
    if not cell_changed(written, cell):
        written = as_published(folder, written, tried(folder, asked.edition, written))
    after = tried(folder, asked.edition, written)
    write_whole(path, written.encode())
    print(f"\nwritten to {asked.edition}.yaml, pack {after.pack_id}:")
    for change in changes(before, after):
        print(f"  {change.line()}")
    earlier = since(folder, asked.edition, after)
    if earlier == after.pack_id:
        print(f"it says again what {earlier} says; nothing is left to be done")
        return DONE
    print("next, in this order:")
    for command in (f"diff {earlier} {asked.edition}", "check", f"cases --pack {asked.edition}", f"publish {asked.edition}"):
        print(f"  bondwright rules {command}")
    return DONE


def _with_cell(text: str, cell: Cell, new: Entry) -> str:
    """The text with the cell changed once: a change of it that the file makes already gives way, and goes where the old entry is back."""
    was = cell.was
    if cell.same(new.value, was):
        raise WrongCall(f"{was} stands there already; the change changes nothing; nothing was written")
    if earlier := cell_changed(text, cell):
        was, text = flow(earlier.entries["was"]), without_change(text, earlier)
        if cell.same(new.value, was):
            return text
    source = f"{{from: {new.source}, kind: {new.kind}, confidence: {new.confidence}}}"
    change = cell.change(was, new.value, new.clause, source)
    return with_change(text, [f"# checked on {new.checked_on}; the entry was typed twice", change])
