"""Settings: the only place that reads the environment."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Settings:
    """What differs from one installation of the service to the next. `data_folder` holds the record."""

    data_folder: Path


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """The settings that `environment` asks for, by default the process's own.

    BONDWRIGHT_DATA is the data folder; left out or empty, it is `~/.local/share/bondwright`.
    """
    asked = (os.environ if environment is None else environment).get("BONDWRIGHT_DATA", "")
    return Settings(Path(asked or "~/.local/share/bondwright").expanduser())
