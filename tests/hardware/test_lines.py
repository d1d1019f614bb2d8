"""Bytes into lines, whatever pieces they come in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.hardware.lines import LineKind, LineSplitter


def texts(pieces, **options):
    splitter = LineSplitter(**options)
    return [line for piece in pieces for line in splitter.feed(piece)]


@pytest.mark.parametrize("end", [b"\r", b"\n", b"\r\n", b"\n\r"])
@given(cuts=st.lists(st.integers(1, 9), max_size=12))
def test_lines_are_the_same_however_they_are_cut(end, cuts):
    data = end.join([b"+1.250", b"-0.125", b"+3.000", b""])
    pieces = []
    for cut in cuts:
        pieces.append(data[:cut])
        data = data[cut:]
    assert [line.text for line in texts([*pieces, data])] == ["+1.250", "-0.125", "+3.000"]


def test_nulls_are_dropped_and_counted():
    splitter = LineSplitter()
    assert [line.text for line in splitter.feed(b"\x00\x00+1.\x00250\n\x00")] == ["+1.250"]
    assert splitter.nulls == 4


def test_a_line_with_a_damaged_byte_is_garbled():
    (line,) = texts([b"+1.\xb250\r\n"])
    assert line.kind is LineKind.GARBLED


def test_an_endless_line_is_told_once_and_takes_no_memory():
    splitter = LineSplitter(most_characters=50)
    found = splitter.feed(b"x" * 100_000)
    assert [line.kind for line in found] == [LineKind.OVERLONG]
    assert splitter.pending <= 50
    assert [line.text for line in splitter.feed(b"x\n+1.250\n")] == ["+1.250"]


def test_what_was_cut_by_opening_is_thrown_away_and_counted():
    splitter = LineSplitter(from_middle=True)
    assert [line.text for line in splitter.feed(b"250 mm\r\n+1.250 mm\r\n")] == ["+1.250 mm"]
    assert splitter.cut_off == 1


@given(st.lists(st.binary(max_size=60), max_size=20))
def test_no_bytes_make_a_text_that_cannot_be_printed(pieces):
    for line in texts(pieces):
        if line.kind is LineKind.TEXT:
            assert line.text
            assert all(character == "\t" or " " <= character <= "~" for character in line.text)
