"""A value as TOML writes it."""

from __future__ import annotations

from typing import Any


def toml_value(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return (
            '"'
            + "".join(_ESCAPES.get(c, c) if c >= " " and c != "\x7f" else _code(c) for c in value)
            + '"'
        )
    if isinstance(value, tuple):
        return "[" + ", ".join(map(toml_value, value)) + "]"
    return repr(value)


_ESCAPES = {'"': '\\"', "\\": "\\\\"}


def _code(character: str) -> str:
    return {"\n": "\\n", "\t": "\\t", "\r": "\\r"}.get(character, f"\\u{ord(character):04x}")
