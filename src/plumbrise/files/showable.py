"""Letters of a stranger's file that must not reach a screen: those that move a cursor, colour a
terminal, turn a line round, or cannot be written out at all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

STEERS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
"""Control characters, but for tab and line ends, and halves of letters."""
STEERS_OR_TURNS = re.compile(f"{STEERS.pattern}|[\u202a-\u202e\u2066-\u2069]")
"""These, and what makes a line run backwards."""
_HALF = re.compile("[\ud800-\udfff]")
_BREAK = re.compile("[\t\n\r]")

Path = tuple[str, ...]


def odd_texts(tree: Any, odd: re.Pattern[str] = STEERS_OR_TURNS) -> Iterator[tuple[Path, str]]:
    """The keys and texts of a tree of tables and lists that hold such a letter, with the keys that
    lead to them. A text may have several lines, a key may not.

    Example:
        >>> list(odd_texts({"name": "Heron\\x1b[2J", "note": "two\\nlines"}))
        [(('name',), 'Heron\\x1b[2J')]
    """
    for path, value in walked(tree):
        if isinstance(value, str) and odd.search(value):
            yield path, value
        elif isinstance(value, dict):
            for key in value:
                if odd.search(key) or _BREAK.search(key):
                    yield path, key


def has_half_letters(tree: Any) -> bool:
    """Whether a key or a text of the tree cannot be written to any file.

    Example:
        >>> has_half_letters({"name": ["\\ud83d"]}), has_half_letters({"name": "\N{BIRD}"})
        (True, False)
    """
    texts = (
        text
        for _, value in walked(tree)
        for text in (value if isinstance(value, dict) else (value,))
        if isinstance(text, str)
    )
    return any(_HALF.search(text) for text in texts)


def walked(tree: Any) -> Iterator[tuple[Path, Any]]:
    """Every value of a tree, however deep, with the keys and places in lists that lead to it; a
    table or list before what is in it."""
    waiting: list[tuple[Path, Any]] = [((), tree)]
    while waiting:
        path, value = waiting.pop()
        yield path, value
        if isinstance(value, dict):
            waiting += [((*path, key), one) for key, one in value.items()]
        elif isinstance(value, list):
            waiting += [((*path, str(i)), one) for i, one in enumerate(value)]
