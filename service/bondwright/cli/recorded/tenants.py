"""`bondwright tenants`: whose records are kept, and how many."""

from argparse import ArgumentParser, Namespace
from contextlib import closing

import orjson

from bondwright.assembly import build
from bondwright.cli.arguments import add_data, add_format, asked_settings
from bondwright.cli.statuses import DONE


def add_tenants(command: ArgumentParser) -> None:
    """Gives the command its arguments."""
    add_format(command)
    add_data(command, "BONDWRIGHT_DATABASE, or BONDWRIGHT_DATA, or else ~/.local/share/bondwright")
    command.set_defaults(run=_tenants)


def _tenants(asked: Namespace) -> int:
    with closing(build(asked_settings(asked), to_read=True)) as bondwright:
        counts = bondwright.tenants()
    if asked.format == "json":
        print(orjson.dumps([{"tenant": tenant, "records": count} for tenant, count in counts.items()]).decode())
        return DONE
    for tenant, count in counts.items():
        print(f"{tenant}  {count:,} {'record' if count == 1 else 'records'}")
    return DONE
