"""What several commands share: their arguments, and the service as these arguments ask for it."""

import argparse
import re
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from pathlib import Path
from typing import TypeAlias

from bondwright.members import replace
from bondwright.settings import Settings, read_settings

Commands: TypeAlias = "argparse._SubParsersAction[ArgumentParser]"
"""Where each command adds itself."""

_LONGEST_NAME = 64


def add_format(command: ArgumentParser, **others: str) -> None:
    """Adds `--format`; `others`: what else it may be, each with words for it."""
    told = ", ".join(["text to read", *others.values()])
    choices = ("text", "json", *others)
    command.add_argument("--format", choices=choices, default="text", help=f"{told}, or JSON for machines (default: text)")


def add_data(command: ArgumentParser, default: str) -> None:
    """Adds `--data`; `default` says in words where data goes without it."""
    command.add_argument("--data", type=Path, metavar="FOLDER", help=f"folder of the record (default: {default})")


def add_tenant(command: ArgumentParser) -> None:
    """Adds `--tenant`."""
    # Loaded here only: commands that read rules have no use for the whole service.
    from bondwright.assembly import TENANT

    command.add_argument(
        "--tenant", type=tenant_name, default=TENANT, help=f"whose records (default: {TENANT}, where no keys are asked for)"
    )


def tenant_name(text: str) -> str:
    """The name of a tenant. Raises: ArgumentTypeError."""
    if not re.fullmatch(f"[a-z0-9-]{{1,{_LONGEST_NAME}}}", text):
        raise ArgumentTypeError(f"a tenant is 1 to {_LONGEST_NAME} small letters, digits and hyphens")
    return text


def asked_settings(asked: Namespace) -> Settings:
    """The settings of the environment; if `--data` was given, records are kept in that folder whatever the environment says."""
    settings = read_settings()
    return settings if asked.data is None else replace(settings, data_folder=asked.data.expanduser(), database="")
