"""Where the shelf lies: in the person's data folder unless they say another place."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "PLUMBRISE_SHELF"
FILE = "shelf.sqlite3"


def shelf_path(said: str | Path | None = None) -> Path:
    """The shelf's file: the one that was said, else that of the environment variable
    PLUMBRISE_SHELF, else one in the person's data folder.

    Example:
        >>> shelf_path("evening.sqlite3").name
        'evening.sqlite3'
    """
    given = said or os.environ.get(VARIABLE)
    if given:
        return Path(given).expanduser()
    from platformdirs import user_data_path

    return user_data_path("plumbrise", appauthor=False) / FILE
