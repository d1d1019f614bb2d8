"""Columns and folded lines for a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Sequence

WIDTH = 86
NO_BREAK = "\N{NO-BREAK SPACE}"
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|N|µm|°C|min|h|kg|s|%|days)(?![\w]))")


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


def folded(sentence: str, width: int = WIDTH) -> list[str]:
    """A sentence in lines that fit a terminal, a number on the line of its unit; an empty one
    gives none."""
    lines = textwrap.wrap(
        held_together(plain_line(sentence)), width, break_long_words=False, break_on_hyphens=False
    )
    return [line.replace(NO_BREAK, " ") for line in lines]


def held_together(words: str) -> str:
    """Words in which a number stays on the line of its unit and of its give or take.

    Example:
        >>> held_together("0.19 ± 0.02 mm of 3 steps").split(" ")
        ['0.19\\xa0±\\xa00.02\\xa0mm', 'of', '3', 'steps']
    """
    return _UNIT.sub(NO_BREAK, words).replace(" ± ", f"{NO_BREAK}±{NO_BREAK}")


def hung(head: str, sentence: str, width: int = WIDTH) -> list[str]:
    """A sentence behind a head, all its lines as far in as the first.

    Example:
        >>> hung("  1. ", "Clean the screw and grease it", 20)
        ['  1. Clean the screw', '     and grease it']
    """
    lines = folded(sentence, width - len(head)) or [""]
    return [f"{' ' * len(head) if i else head}{line}" for i, line in enumerate(lines)]


def plain_line(words: str) -> str:
    """What people typed, in one line and without control characters: a name must not move the
    cursor of somebody else's terminal."""
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())
