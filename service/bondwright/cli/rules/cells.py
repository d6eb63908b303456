"""`bondwright rules set-cell`: one cell of a table, changed in an amendment by someone who needs to know no programming.

The change is spliced into the file as text, so comments survive. It is tried on a copy first: what the rules refuse is not written.
"""

import re
import shutil
import tempfile
from argparse import ArgumentTypeError, Namespace
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from bondwright.cli.rules.choosing import WrongCall, day, did_you_mean, edition_of_pack, folder_of, today
from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.own_changes import (
    cell_changed,
    example_changed,
    example_lines,
    same_example,
    with_change,
    without_change,
)
from bondwright.cli.rules.publishing.writing import locked_digest, write_whole
from bondwright.cli.rules.written import expecting
from bondwright.cli.rules.written import written as written_lines
from bondwright.cli.statuses import DONE
from bondwright.conclude.concluding import plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.errors import UnreadableRules
from bondwright.proofs.examples import Runner, told
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example, Rule
from bondwright.rulebook.sizing import LimitsTable, Row
from bondwright.shelf.amendments import amended_by
from bondwright.shelf.editor_schema import editor_schema
from bondwright.shelf.lines import plain
from bondwright.shelf.packs import LOCK, draft_pack, on_shelf
from bondwright.shelf.reading.nodes import Node, read_nodes
from bondwright.shelf.reading.scalars import as_map
from bondwright.shelf.words.reading import as_said
from bondwright.units import decimal

_REVISION = re.compile(r"^(  id: +(?P<stem>[a-z0-9-]+)-r)(?P<number>[0-9]+)", re.MULTILINE)
_REASONS = re.compile(r"^lenient:.*\n(?:[ -].*\n|\n(?=[ -]))*", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Entry:
    """What is to stand in the cell, and on what it rests."""

    value: str
    clause: str
    source: str
    kind: str
    confidence: str
    checked_on: date


def set_cell(asked: Namespace) -> int:
    """Asks for the new entry twice and for what it rests on, writes the change with the old entry beside it, shows what changed."""
    folder = folder_of(asked)
    path = folder / f"{asked.edition}.yaml"
    before = draft_pack(folder, asked.edition)
    text = path.read_text(encoding="utf-8")
    if not re.search("^amends:", text, re.MULTILINE):
        first = f"`bondwright rules amend {asked.edition} {asked.edition}-next` first"
        raise WrongCall(f"{asked.edition}.yaml:1:1: this edition is a base and is not changed; {first}")
    table, row = _cell(before, asked.table, asked.up_to)
    entry = _entry(asked, before, table, row)
    written = _with_cell(_next_revision(folder, text), table, row, entry)
    written = _with_examples(written, before, _tried(folder, asked.edition, written), asked.confirm_examples)
    if not cell_changed(written, table.table_id, _limit(row)):
        written = _as_published(folder, written, _tried(folder, asked.edition, written))
    after = _tried(folder, asked.edition, written)
    write_whole(path, written.encode())
    print(f"\nwritten to {asked.edition}.yaml, pack {after.pack_id}:")
    for change in changes(before, after):
        print(f"  {change.line()}")
    since = _since(folder, asked.edition, after)
    if since == after.pack_id:
        print(f"it says again what {since} says; nothing is left to be done")
        return DONE
    print("next, in this order:")
    for command in (f"diff {since} {asked.edition}", "check", f"cases --pack {asked.edition}", f"publish {asked.edition}"):
        print(f"  bondwright rules {command}")
    return DONE


def _since(folder: Path, edition: str, pack: RulePack) -> str:
    """With what to compare the edition: its newest published pack, else the edition that it amends."""
    with suppress(UnreadableRules):
        if kept := [one for one in on_shelf(folder) if edition_of_pack(one) == edition_of_pack(pack)]:
            return kept[-1].pack_id
    return amended_by(folder, edition) or edition


def _cell(pack: RulePack, table_id: str, up_to: str) -> tuple[LimitsTable, Row]:
    if table_id not in pack.tables:
        raise WrongCall(f"`{pack.pack_id}` has no table `{table_id}`{did_you_mean(table_id, pack.tables)}; it has {_words(pack.tables)}")
    table = pack.tables[table_id]
    limits = {_limit(row): row for row in table.rows}
    if up_to not in limits:
        raise WrongCall(f"table `{table_id}` has no row up to `{up_to}`; it has {_words(limits)}")
    return table, limits[up_to]


def _limit(row: Row) -> str:
    return "above" if row.up_to is None else f"{row.up_to:.15g}"


def _entry(asked: Namespace, pack: RulePack, table: LimitsTable, row: Row) -> Entry:
    """What was given as options, and the rest as answered on the terminal. Raises: WrongCall."""
    limit = "above the last limit" if row.up_to is None else f"up to {row.up_to:.15g} {table.unit}"
    print(f"table {table.table_id} ({table.clause}): {limit} it says {row.use:.15g} {table.gives} now")
    may_be = editor_schema(pack)["$defs"]["source"]["properties"]
    value = _given(asked.value, f"new entry in {table.gives}: ", _fault_of_number)
    again = _given(asked.again, "the same once more: ", _fault_of_number)
    if value != again:
        raise WrongCall(f"the two entries differ, `{value}` and `{again}`; nothing was written")
    return Entry(
        value,
        _given(asked.clause, f"clause, such as {table.clause}: ", _fault_of_line),
        _given(asked.source, f"source, a name in sources.yaml, such as {table.source}: ", _member(may_be["from"]["enum"])),
        _given(asked.kind, f"kind ({', '.join(may_be['kind']['enum'])}): ", _member(may_be["kind"]["enum"])),
        _given(asked.confidence, f"confidence ({', '.join(may_be['confidence']['enum'])}): ", _member(may_be["confidence"]["enum"])),
        day(_given(asked.checked_on or _unasked(asked), f"checked on (such as {today()}): ", _fault_of_day)),
    )


def _unasked(asked: Namespace) -> str | None:
    """Today, for a call with options that leaves the date out; None where everything is asked for."""
    return str(today()) if asked.value else None


def _given(option: str | None, question: str, fault_of: Callable[[str], str]) -> str:
    """The option, or else the answer to the question, asked until it is right. Raises: WrongCall."""
    if option is not None:
        if fault := fault_of(option):
            raise WrongCall(f"{fault}; nothing was written")
        return option
    while True:
        try:
            answer = input(question).strip()
        except EOFError:
            raise WrongCall("the answers end here; nothing was written") from None
        fault = fault_of(answer)
        if not fault:
            return answer
        print(f"  {fault}")


def _fault_of_number(answer: str) -> str:
    return "" if decimal(answer) is not None else f"`{answer}` is no number as rule files write one; write digits with a dot, such as `1.5`"


def _fault_of_line(answer: str) -> str:
    return "" if re.fullmatch(r"[^\"\\\n]+", answer) else "write one line, without quotation marks and backslashes"


def _fault_of_day(answer: str) -> str:
    try:
        day(answer)
    except ArgumentTypeError as error:
        return str(error)
    return ""


def _member(known: Sequence[str]) -> Callable[[str], str]:
    return lambda answer: "" if answer in known else f"`{answer}` is not known{did_you_mean(answer, known)}; known: {_words(known)}"


def _words(names: Iterable[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _with_cell(text: str, table: LimitsTable, row: Row, entry: Entry) -> str:
    """The text with the cell changed once: a change of it that the file makes already gives way, and goes where the old entry is back."""
    was = f"{row.use:.15g}"
    earlier = cell_changed(text, table.table_id, _limit(row))
    if earlier and entry.value != was:
        was, text = str(plain(earlier.entries["was"])), without_change(text, earlier)
        if entry.value == was:
            return text
    cell = f"table: {table.table_id}, up_to: {_limit(row)}, was: {was}, now: {entry.value}"
    source = f"{{from: {entry.source}, kind: {entry.kind}, confidence: {entry.confidence}}}"
    change = [
        f"# checked on {entry.checked_on}; the entry was typed twice",
        f'- set_cell: {{{cell}, clause: "{entry.clause}", source: {source}}}',
    ]
    return with_change(text, change)


def _with_examples(text: str, before: RulePack, after: RulePack, confirmed: bool) -> str:
    """The text with a change for each example that the new cell makes untrue, its expectation brought up to date once confirmed."""
    runner, earlier = Runner(after), Runner(before)
    for rule in after.rules:
        for example in rule.examples:
            if not runner.fault(rule, example) or earlier.fault(rule, example):
                continue
            line = " ".join(part.strip() for part in written_lines(after, example.place)).removeprefix("- ")
            new = _brought_up_to_date(line, rule, example, _told(after, runner.before(rule, example), rule), confirmed)
            was, now = (
                as_map(read_nodes(f"example: {one}\n".encode(), "").entries["example"], "an example").entries for one in (line, new)
            )
            own = example_changed(text, rule.rule_id, was)
            if own:
                text, was = without_change(text, own), as_map(own.entries["was"], "`was`").entries
            if not same_example(was, now):
                text = with_change(text, example_lines(rule.rule_id, was, now))
    return text


def _entries(example: str) -> Mapping[str, Node]:
    return as_map(read_nodes(f"example: {example}\n".encode(), "").entries["example"], "an example").entries


def _told(pack: RulePack, one: Conclusion, rule: Rule) -> Mapping[str, str]:
    return told(through(pack, [rule.stage], [one], plainly(pack))[0], pack)


def _brought_up_to_date(line: str, rule: Rule, example: Example, told: Mapping[str, str], confirmed: bool) -> str:
    for key, expected in example.expect:
        now = _bare(told[key])
        if told[key] == expected:
            continue
        outcome, _, field = key.partition(".")
        new = expecting(line, outcome, field, now)
        if new is None:
            raise WrongCall(
                f"an example of rule `{rule.rule_id}` cannot be changed by itself; ask an engineer; nothing was written: {line}"
            )
        print(f"an example of rule {rule.rule_id} comes out otherwise: {key} was {_bare(expected)} and is {now} now, for")
        print(f"  - {line}")
        if not confirmed and _given(None, f"is {now} what the source says there? (yes or no): ", _member(("yes", "no"))) == "no":
            raise WrongCall("the new entry and the source do not agree about the example; nothing was written")
        line = new
    return line


def _bare(value: str) -> str:
    """A number as rule files write it, or a word as it is."""
    return f"{float(value):g}" if re.fullmatch(r"[0-9.]+", value) else value


def _next_revision(folder: Path, text: str) -> str:
    """The text with the next free revision in its `id`, where the pack of that id is published already.

    Its reasons for leniency are then of the step before, and kept in the pack of that id: they go.
    """
    lock = (folder / LOCK).read_bytes() if (folder / LOCK).exists() else b""
    found = _REVISION.search(text)
    if not found:
        return text
    number = int(found["number"])
    while locked_digest(lock, f"{found['stem']}-r{number}"):
        number += 1
    if number == int(found["number"]):
        return text
    return _REASONS.sub("", f"{text[: found.start()]}{found[1]}{number}{text[found.end() :]}")


def _as_published(folder: Path, text: str, pack: RulePack) -> str:
    """The text with the revision and the reasons of the newest published pack of the edition, where `pack` says the same as that one."""
    kept = [one for one in on_shelf(folder) if edition_of_pack(one) == edition_of_pack(pack)]
    found = _REVISION.search(text)
    if not kept or not found or _REASONS.search(text) or changes(newest := kept[-1].whole(), pack):
        return text
    reasons = _REASONS.search("\n".join((*as_said(newest.text), "")))
    number = newest.pack_id.rpartition("-r")[2]
    return f"{text[: found.start()]}{found[1]}{number}{text[found.end() :]}{reasons.group() if reasons else ''}"


def _tried(folder: Path, edition: str, text: str) -> RulePack:
    """The pack that the edition would make with that text, tried on a copy. Raises: WrongCall."""
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "rules"
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("published", "cases", "__pycache__"))
        (copy / f"{edition}.yaml").write_text(text, encoding="utf-8")
        try:
            return draft_pack(copy, edition)
        except UnreadableRules as error:
            raise WrongCall(f"nothing was written, for the rules would refuse it: {error}") from None
