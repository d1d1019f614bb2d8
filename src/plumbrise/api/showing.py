"""How answers show themselves in a notebook, and what names a file."""

from __future__ import annotations

from pathlib import Path

StrPath = str | Path


def text_block(text: str) -> str:
    """Text as HTML that keeps its lines."""
    from html import escape

    return f'<pre style="white-space:pre-wrap">{escape(text)}</pre>'
