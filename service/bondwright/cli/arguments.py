"""What several commands share: their arguments, and the service as these arguments ask for it."""

import argparse
from argparse import ArgumentParser, Namespace
from dataclasses import replace
from pathlib import Path
from typing import TypeAlias

from bondwright.settings import Settings, read_settings

Commands: TypeAlias = "argparse._SubParsersAction[ArgumentParser]"
"""Where each command adds itself."""


def add_format(command: ArgumentParser) -> None:
    """Adds `--format`."""
    command.add_argument("--format", choices=("text", "json"), default="text", help="text to read, or JSON for machines (default: text)")


def add_data(command: ArgumentParser, default: str) -> None:
    """Adds `--data`; `default` says in words where data goes without it."""
    command.add_argument("--data", type=Path, metavar="FOLDER", help=f"folder of the record (default: {default})")


def asked_settings(asked: Namespace) -> Settings:
    """The settings of the environment; if `--data` was given, records are kept in that folder whatever the environment says."""
    settings = read_settings()
    return settings if asked.data is None else replace(settings, data_folder=asked.data.expanduser(), database="")
