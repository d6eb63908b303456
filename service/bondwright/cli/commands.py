"""Every command by its name, with what it does in a line; a command's own module is loaded when it is called."""

from argparse import ArgumentParser
from collections.abc import Callable, Mapping


def _demo(command: ArgumentParser) -> None:
    from bondwright.cli.demo import add_demo

    add_demo(command)


def _evaluate(command: ArgumentParser) -> None:
    from bondwright.cli.evaluate import add_evaluate

    add_evaluate(command)


def _calculate(command: ArgumentParser) -> None:
    from bondwright.cli.calculate import add_calculate

    add_calculate(command)


def _replay(command: ArgumentParser) -> None:
    from bondwright.cli.recorded.replay import add_replay

    add_replay(command)


def _export(command: ArgumentParser) -> None:
    from bondwright.cli.recorded.exchange import add_export

    add_export(command)


def _import(command: ArgumentParser) -> None:
    from bondwright.cli.recorded.exchange import add_import

    add_import(command)


def _tenants(command: ArgumentParser) -> None:
    from bondwright.cli.recorded.tenants import add_tenants

    add_tenants(command)


def _impact(command: ArgumentParser) -> None:
    from bondwright.cli.recorded.impact import add_impact

    add_impact(command)


def _database(command: ArgumentParser) -> None:
    from bondwright.cli.database import add_database

    add_database(command)


def _keys(command: ArgumentParser) -> None:
    from bondwright.cli.keys import add_keys

    add_keys(command)


def _serve(command: ArgumentParser) -> None:
    from bondwright.cli.serve import add_serve

    add_serve(command)


def _rules(command: ArgumentParser) -> None:
    from bondwright.cli.rules import add_rules

    add_rules(command)


COMMANDS: Mapping[str, tuple[str, Callable[[ArgumentParser], None]]] = {
    "demo": ("evaluate the shipped examples, record them and read them back", _demo),
    "evaluate": ("print the evaluation of one description", _evaluate),
    "calculate": ("work out one number, with its working and sources", _calculate),
    "replay": ("work recorded evaluations out again and compare", _replay),
    "export": ("write every record of a tenant to a new file", _export),
    "import": ("take in the records of such a file", _import),
    "tenants": ("list whose records are kept, and how many", _tenants),
    "impact": ("which recorded verdicts a rule pack would change", _impact),
    "database": ("lay the database of records out, or see how it stands", _database),
    "keys": ("make, list and end the keys of callers", _keys),
    "serve": ("serve the HTTP API", _serve),
    "rules": ("look at, check, change and publish the rules", _rules),
}
"""By name: what it does, and what gives a parser its arguments and says what to run."""
