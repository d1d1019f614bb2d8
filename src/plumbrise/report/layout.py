"""Columns and folded lines for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Sequence

WIDTH = 86


def columns(rows: Sequence[Sequence[str]], right: Collection[int] = ()) -> list[str]:
    """Rows as lines, columns two spaces apart; those in `right` stand at their right edge.

    Example:
        >>> columns([("left", "0.2"), ("right", "10.3")], right={1})
        ['left    0.2', 'right  10.3']
    """
    if not rows:
        return []
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        "  ".join(
            cell.rjust(widths[i]) if i in right else cell.ljust(widths[i])
            for i, cell in enumerate(row)
        ).rstrip()
        for row in rows
    ]


def folded(sentence: str) -> list[str]:
    """A sentence in lines that fit a terminal; an empty one gives none."""
    return textwrap.wrap(
        plain_line(sentence), WIDTH, break_long_words=False, break_on_hyphens=False
    )


def plain_line(words: str) -> str:
    """What people typed, in one line and without control characters: a name must not move the
    cursor of somebody else's terminal."""
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())
