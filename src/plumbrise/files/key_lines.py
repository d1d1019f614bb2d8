"""In which line of a TOML file a key stands: the parser does not say."""

from __future__ import annotations

import re

_TABLE = re.compile(r"\[\[?\s*([^\[\]#]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(
    r"""\s*((?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')(?:\s*\.\s*[A-Za-z0-9_"'-]+)*)\s*="""
)
STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'', re.DOTALL
)


def key_lines(text: str) -> dict[tuple[str, ...], int]:
    """Line (from 1) of every table and key, also of those in inline tables.

    Good for files that TOML accepts; in others it finds what it can.

    Example:
        >>> key_lines('name = "x"\\n[screw]\\nlead_mm = 8\\nnut = { kind = "plain" }')[
        ...     ("screw", "nut", "kind")]
        4
    """
    found: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    inside: list[tuple[str, ...]] = []
    key: tuple[str, ...] = ()
    at, line = 0, 1
    fresh = True  # a key may begin here
    while at < len(text):
        here = text[at]
        if here == "\n":
            at, line = at + 1, line + 1
            fresh = not any(inside) or fresh
            if not inside:
                key = ()
            continue
        if here == "#":
            at = _end_of_line(text, at)
            continue
        if fresh and not inside and here == "[":
            end = _end_of_line(text, at)
            if match := _TABLE.match(text[at:end].rstrip()):
                table = _parts(match[1])
                found.setdefault(table, line)
                at = end
                continue
        if fresh and (match := _KEY.match(text, at)) and "\n" not in match[0]:
            key = (inside[-1] if inside else table) + _parts(match[1])
            found.setdefault(key, line)
            at, fresh = match.end(), False
            continue
        if match := STRING.match(text, at):
            line += match[0].count("\n")
            at = match.end()
            continue
        if here in "{[":
            inside.append(key)
            fresh = here == "{"
        elif here in "}]" and inside:
            key = inside.pop()
            fresh = False
        elif here == ",":
            fresh = bool(inside)
        at += 1
    return found


def _end_of_line(text: str, at: int) -> int:
    end = text.find("\n", at)
    return len(text) if end < 0 else end


def _parts(key: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in key.split("."))
