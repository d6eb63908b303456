"""`bondwright database`: how the database of records is laid out, and how its owner changes that."""

import sys
from argparse import ArgumentParser, Namespace

from bondwright.assembly import database
from bondwright.audit.steps.statements import NOTHING, known_steps
from bondwright.cli.arguments import add_data, asked_settings
from bondwright.cli.statuses import DONE, WANTING, WRONG_CALL
from bondwright.errors import RecordBroken

_WHERE = "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright"


def add_database(group: ArgumentParser) -> None:
    """Gives the command what it can do."""
    acts = group.add_subparsers(title="acts", metavar="ACT", required=True)
    show = acts.add_parser("show", help="where it is, at which step, and whether the service would work on it", allow_abbrev=False)
    show.set_defaults(run=_show)
    up = acts.add_parser("up", help="bring it to the last step; as its owner", allow_abbrev=False)
    up.set_defaults(run=_take)
    down = acts.add_parser("down", help="take it down to an earlier step; as its owner; records stay", allow_abbrev=False)
    down.add_argument("--to", metavar="STEP", required=True, help=f"such as 0001, or {NOTHING}, which is refused where a record is kept")
    down.set_defaults(run=_take)
    for act in (show, up, down):
        add_data(act, _WHERE)


def _show(asked: Namespace) -> int:
    there = database(asked_settings(asked))
    step = there.step()
    print(f"{there.where}: step {step or NOTHING} of {known_steps()[-1]}")
    if step is None or (there.is_file and step != known_steps()[-1]):
        print("the service lays it out when it opens it" if there.is_file else "its owner lays it out with `bondwright database up`")
        return DONE
    try:
        store = there.open_store()
    except RecordBroken as error:
        print(f"the service would not work on it: {error}")
        return WANTING
    store.close()
    print("the service would work on it, as this user")
    return DONE


def _take(asked: Namespace) -> int:
    to = getattr(asked, "to", known_steps()[-1])
    if to not in (NOTHING, *known_steps()):
        print(f"bondwright database: there is no step {to}; there are {', '.join(known_steps())} and {NOTHING}", file=sys.stderr)
        return WRONG_CALL
    there = database(asked_settings(asked))
    before, after = there.take(to)
    print(f"{there.where}: from step {before or NOTHING} to {after or NOTHING}")
    return DONE
