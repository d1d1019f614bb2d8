"""Which program wrote it."""

from __future__ import annotations

from functools import cache


@cache
def program_version() -> str:
    """The version of the installed program; the rooms above say it too, and are not asked."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("plumbrise")
    except PackageNotFoundError:
        return "not installed"
