"""JSON that a person hands in: an object of a version that is known, or a plain error."""

from __future__ import annotations

import json
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.showable import has_half_letters

Json = dict[str, Any]
MOST_CHARACTERS = 5_000_000


def json_object(text: str) -> Json:
    """The object that a JSON text holds.

    Raises:
        InputError: no JSON, too long, no object, or text that no file can hold.

    Example:
        >>> json_object('{"version": 1}')
        {'version': 1}
    """
    if len(text) > MOST_CHARACTERS:
        raise InputError(
            place="file",
            value=f"{len(text)} characters",
            allowed=f"{MOST_CHARACTERS} characters",
            remedy="Give the file that the program wrote.",
        )
    try:
        whole = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
        given = json.loads(whole, parse_constant=_no_number)
    except (ValueError, RecursionError) as problem:
        line = getattr(problem, "lineno", 1)
        raise InputError(
            place=f"line {line}",
            value="".join(whole.splitlines()[line - 1 : line])[:60].strip(),
            allowed="JSON of this program",
            remedy="Give the file that the program wrote, unchanged.",
        ) from None
    if has_half_letters(given):
        raise InputError(
            place="file",
            value="half a letter",
            allowed="text that can be written out",
            remedy="Give the file that the program wrote, unchanged.",
        )
    if not isinstance(given, dict):
        raise InputError(
            place="file",
            value=type(given).__name__,
            allowed="an object in braces",
            remedy="Give the file that the program wrote, unchanged.",
        )
    return given


def versioned(given: Json, version: int, maker: str) -> Json:
    """The same object, if it has this version.

    Args:
        given: the object.
        version: the one that is read.
        maker: what writes such files, for the remedy.

    Raises:
        InputError: none, or another.
    """
    found = given.get("version")
    if found != version or isinstance(found, bool):
        raise InputError(
            place="version",
            value="nothing" if found is None else found,
            allowed=str(version),
            remedy=f"Give what {maker} of this version of the program writes.",
        )
    return given


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number of JSON")
