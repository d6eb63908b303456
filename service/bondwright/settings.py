"""What the environment asks for; nothing else reads it."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Settings:
    """What differs from one installation of the service to the next.

    `data_folder` holds the record, unless `database` says where it is: the address of a PostgreSQL database, as libpq takes it.
    """

    data_folder: Path
    database: str = field(default="", repr=False)  # it may hold a password


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """The settings that `environment` asks for, by default the process's own.

    BONDWRIGHT_DATA is the data folder; left out or empty, it is `~/.local/share/bondwright`. BONDWRIGHT_DATABASE is the database.
    """
    given = os.environ if environment is None else environment
    folder = Path(given.get("BONDWRIGHT_DATA", "") or "~/.local/share/bondwright").expanduser()
    return Settings(folder, given.get("BONDWRIGHT_DATABASE", ""))
