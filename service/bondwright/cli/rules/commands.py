"""The commands under `bondwright rules`: their arguments, and what a wrong call comes to."""

import sys
from argparse import ArgumentParser, Namespace, RawDescriptionHelpFormatter
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from bondwright.cli.arguments import Commands
from bondwright.cli.rules.amending import amend
from bondwright.cli.rules.choosing import WrongCall, day, folder_of, pack_or_draft
from bondwright.cli.rules.differences import Change, changes
from bondwright.cli.rules.history import history
from bondwright.cli.rules.listing import list_kinds, list_packs
from bondwright.cli.rules.printing import print_json
from bondwright.cli.rules.publishing.checking import print_consolidated
from bondwright.cli.rules.publishing.publish import publish
from bondwright.cli.rules.setting.command import set_cell
from bondwright.cli.rules.showing import show
from bondwright.cli.rules.stricter import searched
from bondwright.cli.rules.worked.cases import cases
from bondwright.cli.rules.worked.mistakes import mistakes
from bondwright.cli.rules.worked.whole import check
from bondwright.cli.statuses import DONE, WRONG_CALL
from bondwright.rulebook.pack import RulePack

_STATUSES = """exit statuses:
  0  done, nothing found wanting
  1  found wanting: rules that cannot be read, a check or a case that falls
  2  wrong call: an unknown name, or a change that is refused; nothing was changed"""

_EDITION = "file of the edition without its ending, such as bs7671/2018-a4"


def add_rules(command: ArgumentParser) -> None:
    """Gives the command its own commands."""
    command.epilog, command.formatter_class = _STATUSES, RawDescriptionHelpFormatter
    actions = command.add_subparsers(title="commands", metavar="COMMAND", required=True)
    _add(actions, "list", list_packs, "list published packs and draft editions", "text", "json")
    kinds = _add(actions, "scope", list_kinds, "list what kinds of things a pack judges, and what governs the others", "text", "json")
    kinds.add_argument("--pack", metavar="ID", help="this published pack or draft edition (default: the newest in use today)")
    _add_show(actions)
    one = _add(
        actions,
        "history",
        history,
        "follow what has a name, or every reason for leniency, through the published packs",
        "text",
        "json",
    )
    named = "id of a rule, or the name of anything else that a pack has (default: every pack, with its reasons and cases)"
    one.add_argument("name", metavar="NAME", nargs="?", help=named)
    two = _add(actions, "diff", _diff, "show where two packs differ, in words and in what they decide", "text", "json")
    two.add_argument("old", metavar="A", help="a published pack by id or digest, or an edition (with a slash) as its files stand")
    two.add_argument("new", metavar="B", help="the other, named the same ways")
    _add_trying(actions)
    whole = _add(actions, "consolidate", print_consolidated, "print the text that publishing an edition would give")
    whole.add_argument("edition", metavar="EDITION", help=_EDITION)
    frozen = _add(
        actions, "publish", publish, "publish the pack that the files of an edition make, if every check, proof and worked case passes"
    )
    frozen.add_argument("edition", metavar="EDITION", help=_EDITION)
    frozen.add_argument("--dry-run", action="store_true", help="do everything but write")
    frozen.add_argument("--without-cases", action="store_true", help="although no worked case falls into its time; refused if one does")
    opened = _add(actions, "amend", amend, "open the file of a new amendment")
    opened.add_argument("base", metavar="BASE", help=f"what is amended: {_EDITION}")
    opened.add_argument("new", metavar="NEW", help="the amendment, named the same way; no file of that name may be there")
    _add_set_cell(actions)


def _add_trying(actions: Commands) -> None:
    """What tries packs by their worked cases, by mistakes and by proofs."""
    some = _add(actions, "cases", cases, "judge the worked cases, each by the newest pack of its day", "text", "json", "junit")
    some.add_argument("--pack", metavar="ID", help="only by this published pack or draft edition, and only the cases of its time")
    word = "only the cases in whose name or text this stands, such as a kind of location; worked calculations are left out"
    some.add_argument("--of", metavar="WORD", default="", help=word)
    made = _add(actions, "mistakes", mistakes, "make small mistakes in a pack, and list those that no worked case notices", "text", "json")
    made.add_argument("pack", metavar="ID", help="a published pack, or an edition (with a slash) as its files stand")
    made.add_argument(
        "--of", metavar="NAME", action="append", default=[], help="only in this rule, table, value, fact, date or act; may be repeated"
    )
    all_of_them = _add(
        actions, "check", check, "check that published packs are whole and drafts could be published", "text", "json", "junit"
    )
    all_of_them.add_argument("pack", metavar="ID", nargs="*", help="only this published pack or draft edition, its worked cases too")
    told = (
        "every proof, as before publishing, and of what is named every mistake that a case must notice; kept by digest in the data folder"
    )
    all_of_them.add_argument("--full", action="store_true", help=told)
    all_of_them.add_argument("--published", action="store_true", help="only the published packs that stand, their worked cases too")


def _add_show(actions: Commands) -> None:
    command = _add(actions, "show", show, "show what has a name, or all that a clause stands behind", "text", "json")
    command.add_argument("name", metavar="NAME", help="id of a rule, the name of a table, value or anything else, or a clause")
    command.add_argument("--on", type=day, metavar="DATE", help="in the newest packs that were usable on this day (default: today)")
    command.add_argument("--pack", metavar="ID", help="in this published pack, or in an edition (with a slash) as its files stand")


def _add_set_cell(actions: Commands) -> None:
    command = _add(actions, "set-cell", set_cell, "change one number or word in an amendment; what is not given is asked for")
    command.add_argument("edition", metavar="EDITION", help=f"an amendment: {_EDITION}")
    command.add_argument("name", metavar="NAME", help="of a table, reference table, property or value")
    keys = "limit of a row, or above; the keys of a printed number; row and column of a property; of a value nothing"
    command.add_argument("keys", metavar="KEY", nargs="*", help=keys)
    command.add_argument("--value", metavar="ENTRY", help="the new entry")
    command.add_argument("--again", metavar="ENTRY", help="the new entry once more, read from the source anew")
    command.add_argument("--clause", metavar="CLAUSE", help="clause that it stands in")
    command.add_argument("--source", metavar="NAME", help="where it was read: a name in sources.yaml")
    command.add_argument("--kind", metavar="KIND", help="stated, our_reading or common_practice")
    command.add_argument("--confidence", metavar="WORD", help="checked_twice, checked_once, secondary or from_memory")
    command.add_argument("--confirm-examples", action="store_true", help="the examples that come out otherwise do so in the source too")
    command.add_argument("--checked-on", metavar="DATE", help="when it was checked (default with --value: today)")


def _add(actions: Commands, name: str, run: Callable[[Namespace], int], what: str, *formats: str) -> ArgumentParser:
    """Adds a command that runs `run`; the first of its formats is the one that is used when none is asked for."""
    command = _parser(actions, name, what)
    if formats:
        command.add_argument("--format", choices=formats, default=formats[0], help=f"default: {formats[0]}")
    command.add_argument("--rules", type=Path, default=None, metavar="FOLDER", help="rules folder (default: that of this installation)")
    command.set_defaults(run=lambda asked: _run(run, asked))
    return command


def _parser(actions: Commands, name: str, what: str) -> ArgumentParser:
    return actions.add_parser(
        name, help=what, description=what, epilog=_STATUSES, formatter_class=RawDescriptionHelpFormatter, allow_abbrev=False
    )


def _run(run: Callable[[Namespace], int], asked: Namespace) -> int:
    try:
        return run(asked)
    except WrongCall as error:
        print(f"bondwright: {error}", file=sys.stderr)
        return WRONG_CALL


def _diff(asked: Namespace) -> int:
    folder = folder_of(asked)
    old, new = pack_or_draft(folder, asked.old), pack_or_draft(folder, asked.new)
    found = changes(old, new)
    search = searched(old, new)
    if asked.format == "json":
        moved = [asdict(one) for one in search.moved]
        print_json({"old": old.digest, "new": new.digest, "changes": [asdict(one) for one in found], "moved": moved, "rows": search.rows})
        return DONE
    print(f"{old.pack_id} to {new.pack_id}: {len(found)} differences")
    for change in found:
        print(f"  {change.line()}")
    print(f"what becomes stricter or more lenient (searched {search.rows} rows of facts; facts not named are unknown):")
    for one in search.moved:
        print(f"  {one.line()}")
    if not search.moved:
        print("  nothing found")
    for name in _unseen(old, new, found):
        print(f"  not searched: {name} works through facts that are worked out from the description; `rules cases` shows its effect")
    return DONE


def _unseen(old: RulePack, new: RulePack, found: Sequence[Change]) -> list[str]:
    """Names of changed values and properties that act before there are facts."""
    worked = {value for pack in (old, new) for fact in pack.facts.values() for value in fact.worked_from}
    return sorted({one.name for one in found if one.kind == "property" or (one.kind == "value" and one.name in worked)})
