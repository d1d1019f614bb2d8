"""Text as TOML, or in words what it is instead."""

from __future__ import annotations

import tomllib
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.machine_faults import bad_syntax

LARGEST_TEXT = 1_000_000


def parsed(text: str, *, what: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Args:
        text: the file's text.
        what: what it should describe, for the message: "machine".

    Raises:
        InputError: too long, not TOML, or nested too deep.
    """
    if len(text) > LARGEST_TEXT:
        raise InputError(
            place="size",
            value=f"{len(text)} characters",
            allowed=f"up to {LARGEST_TEXT} characters",
            remedy=f"A {what} file has some fifty lines: this is another file.",
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise bad_syntax(text, str(problem)) from None
    except (RecursionError, ValueError):
        raise InputError(
            place="file",
            value=text[:20],
            allowed="TOML",
            remedy=f"Tables and lists are nested too deep, or a number is too long, for a {what}.",
        ) from None
