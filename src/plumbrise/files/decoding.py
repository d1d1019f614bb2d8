"""Bytes to text: UTF-8, UTF-16 and Windows-1252, and what is no text at all."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text, and what had to be assumed to read it."""

    text: str
    remark: str = ""


_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_OTHER_FILES = (
    (b"%PDF", "a PDF", "Copy the table into a spreadsheet and save it as CSV."),
    (b"\x89PNG", "a picture", "Type the readings into a table."),
    (b"\xff\xd8\xff", "a picture", "Type the readings into a table."),
    (b"GIF8", "a picture", "Type the readings into a table."),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet (XLS)", "Save it as XLSX, ODS or CSV."),
    (b"PK\x03\x04", "a zip archive", "Give a file that lies in it."),
    (b"\x1f\x8b", "a gzip archive", "Unpack it."),
    (b"7z\xbc\xaf", "a 7z archive", "Unpack it."),
    (b"SQLite format 3", "a database", "Export the readings as CSV."),
    (b"<!DOCTYPE", "a web page", "Save the table itself as CSV."),
    (b"<html", "a web page", "Save the table itself as CSV."),
    (b"{\\rtf", "a word processor's file", "Save it as plain text."),
)


def text_of(data: bytes, *, name: str) -> Decoded:
    """The text of a file.

    Args:
        data: the whole file.
        name: the file's name, for errors.

    Raises:
        InputError: the bytes are no text.

    Example:
        >>> text_of(b"told,\\xb5m", name="a.csv").text
        'told,µm'
    """
    for start, what, remedy in _OTHER_FILES:
        if data[: len(start)].lower() == start.lower():
            raise InputError(place=name, value=what, allowed="text", remedy=remedy)
    for start, encoding in _MARKS:
        if data.startswith(start):
            return _strict(data, encoding, name)
    if silent := _unmarked_utf16(data):
        return _strict(data, silent, name)
    try:
        text, remark = data.decode("utf-8"), ""
    except UnicodeDecodeError:
        text = _strict(data, "cp1252", name).text
        remark = "The text is not UTF-8; it was read as Windows-1252."
    return Decoded(_no_control(text, name), remark)


def _strict(data: bytes, encoding: str, name: str) -> Decoded:
    try:
        return Decoded(_no_control(data.decode(encoding), name))
    except UnicodeDecodeError:
        raise _no_text(name, data) from None


def _unmarked_utf16(data: bytes) -> str:
    """UTF-16 without its mark shows as a zero in nearly every second byte of plain writing."""
    if len(data) < 4 or len(data) % 2:
        return ""
    half = len(data) // 2
    even, odd = data[0::2].count(0), data[1::2].count(0)
    if odd > 0.8 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.8 * half and odd < 0.05 * half:
        return "utf-16-be"
    return ""


def _no_control(text: str, name: str) -> str:
    """Text holds no control characters but tab, line ends, form feed and the old end mark."""
    for character in text:
        if (character < " " and character not in "\t\n\r\f\v\x1a") or character == "\x7f":
            raise _no_text(name, text[:20].encode("utf-8", "replace"))
    return text.rstrip("\x1a")


def _no_text(name: str, data: bytes) -> InputError:
    return InputError(
        place=name,
        value=data[:12],
        allowed="text (UTF-8, UTF-16 or Windows-1252)",
        remedy="Save the table as CSV, XLSX or ODS and give that.",
    )
