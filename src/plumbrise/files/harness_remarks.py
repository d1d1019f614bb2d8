"""Remarks of a harness file, kept when the program writes the file anew."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from plumbrise.files.key_lines import STRING

_HEADER = re.compile(r"\[\[?\s*(\w+)\s*\]\]?$")
_KEY = re.compile(r"(\w+)=")
_STRING_OR_REMARK = re.compile(rf"{STRING.pattern}|#[^\n]*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of a file: the table that it stands in, what it says without blanks, its remark."""

    table: str
    said: str
    remark: str
    text: str

    @property
    def key(self) -> str:
        """The key that the line begins with, "" for none."""
        found = _KEY.match(self.said)
        return found[1] if found else ""


def with_remarks(made: str, before: str) -> str:
    """A harness file with the remarks that stood in it before.

    A remark behind a key or a reading stays behind it where it is still there; any other stands
    above its table, those of no table at the top.

    Args:
        made: the file as it was written anew, without remarks.
        before: the file as it was.

    Example:
        >>> print(with_remarks("format = 1\\n\\n[meter]\\nleads_ohm = 0.3\\n",
        ...                    "# mine\\n[meter]  # the old one\\nleads_ohm = 0.2 # tips"), end="")
        format = 1
        <BLANKLINE>
        # mine
        # the old one
        [meter]
        leads_ohm = 0.3  # tips
    """
    rows = list(_rows(made))
    above: dict[str, list[str]] = {}
    behind: dict[int, str] = {}
    tables = {row.table for row in rows}
    for row in _rows(before):
        if not row.remark:
            continue
        at = None if _HEADER.match(row.said) else _found(row, rows)
        if at is None or at in behind:
            above.setdefault(row.table if row.table in tables else "", []).append(row.remark)
        else:
            behind[at] = row.remark
    if rows and not rows[-1].text:
        rows.pop()
    lines = above.pop("", [])
    for number, row in enumerate(rows):
        if _HEADER.match(row.said):
            lines += above.pop(row.table, [])
        lines.append(f"{row.text}  {behind[number]}" if number in behind else row.text)
    return "\n".join(lines) + "\n"


def _found(row: _Row, rows: list[_Row]) -> int | None:
    """Where a line is still there: the same words in the same table, else the same key."""
    own = [(number, one) for number, one in enumerate(rows) if one.table == row.table and row.said]
    for number, one in own:
        if one.said == row.said:
            return number
    for number, one in own:
        if row.key and one.key == row.key and not one.text.endswith("["):
            return number
    return None


def _rows(text: str) -> Iterator[_Row]:
    """Every line; remarks right above a header go with its table."""
    masked = _STRING_OR_REMARK.sub(_without_words, text)
    table, lines, waiting = "", 0, list[tuple[str, str]]()
    for line, plain in zip(text.split("\n"), masked.split("\n"), strict=True):
        at = plain.find("#")
        code, remark = (line, "") if at < 0 else (line[:at], line[at:].strip())
        said = "".join(code.split()).rstrip(",")
        if remark and not said:
            waiting.append((remark, line))
            continue
        if header := _HEADER.match(said):
            table = f"line {lines}" if header[1] == "line" else header[1]
            lines += header[1] == "line"
        yield from (_Row(table, "", one, whole) for one, whole in waiting)
        waiting = []
        yield _Row(table, said, remark, line.rstrip())
    yield from (_Row(table, "", one, whole) for one, whole in waiting)


def _without_words(found: re.Match[str]) -> str:
    """A string as so many quotation marks, so that no "#" in it counts; a remark as it is."""
    return found[0] if found[0].startswith("#") else re.sub(r"[^\n]", '"', found[0])
