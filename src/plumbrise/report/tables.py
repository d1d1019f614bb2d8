"""A table of strings, set alike in page and PDF."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Table:
    """Head and rows as strings. The first `words` columns, and the last if `last_is_words`, stand
    at their left edge; figures at their right."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str
    words: int = 1
    last_is_words: bool = False
