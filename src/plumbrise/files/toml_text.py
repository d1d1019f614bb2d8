"""Text as TOML, or in words what it is instead."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.machine_faults import bad_syntax
from plumbrise.files.showable import odd_texts

LARGEST_TEXT = 1_000_000
_LONG_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){32}""")
"""A key of more parts than any of ours: the parser's time grows with their square."""


def parsed(text: str, *, what: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Args:
        text: the file's text.
        what: what it should describe, for the message: "machine".

    Raises:
        InputError: too long, not TOML, nested too deep, or with letters that cannot be shown.
    """
    if len(text) > LARGEST_TEXT:
        raise InputError(
            place="size",
            value=f"{len(text)} characters",
            allowed=f"up to {LARGEST_TEXT} characters",
            remedy=f"A {what} file has some fifty lines: this is another file.",
        )
    if _LONG_KEY.search(text):
        raise _too_deep(text, what)
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise bad_syntax(text, str(problem)) from None
    except (RecursionError, ValueError):
        raise _too_deep(text, what) from None
    for path, odd in odd_texts(found):
        raise InputError(
            place=".".join(path) or "file",
            value=odd[:60],
            allowed="letters that can be shown",
            remedy="Take out what is no letter, such as an escape.",
        )
    return found


def _too_deep(text: str, what: str) -> InputError:
    return InputError(
        place="file",
        value=text[:20],
        allowed="TOML",
        remedy=f"Tables and lists are nested too deep, or a number is too long, for a {what}.",
    )


@contextmanager
def told_within(name: str) -> Iterator[None]:
    """Whatever is refused inside is told as refused in the file of this name."""
    try:
        yield
    except InputError as problem:
        raise InputErrors([problem.within(name)]) from None
    except InputErrors as problems:
        raise problems.within(name) from None


def without_mark(text: str) -> str:
    """The text without the mark that some editors put before it."""
    return text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")


def at_line(
    problem: InputError, path: tuple[Any, ...], lines: Mapping[tuple[Any, ...], int]
) -> InputError:
    """A problem with its line of the text: that of its key, or of the nearest table above it."""
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return problem.within(f"line {lines[path[:end]]}")
    return problem
