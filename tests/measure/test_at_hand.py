"""The gauges at hand, as they stand at the head of a worksheet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.measure.at_hand import AS_DESCRIBED, AtHand, at_hand_in

STEPS = st.none() | st.sampled_from([0.0005, 0.001, 0.002, 0.01])
STROKES = st.none() | st.sampled_from([0.8, 5.0, 12.7, 30.0])


@given(STEPS, STROKES, st.sampled_from([1, 2]))
def test_what_is_written_reads_back(step, stroke, at_once):
    at_hand = AtHand(resolution_mm=step, stroke_mm=stroke, at_once=at_once)
    assert at_hand_in([at_hand.cells]) == at_hand


def test_nothing_is_written_where_the_machine_file_holds():
    assert AS_DESCRIBED.cells == ()
    assert at_hand_in([["run", "target_mm"], ["a", "1"]]) == AS_DESCRIBED


def test_a_decimal_comma_and_empty_cells_beside_are_read():
    row = [" Gauge at hand", "resolution_mm = 0,001", "", ""]
    assert at_hand_in([row]).resolution_mm == 0.001


@pytest.mark.parametrize(
    "cell",
    [
        "resolution_mm",
        "resolution_mm=fine",
        "resolution_mm=nan",
        "colour=2",
        "stroke_mm=9000",
        "at_once=3",
        "at_once=1.5",
        "at_once=nan",
        "at_once=inf",
    ],
)
def test_a_line_that_cannot_be_is_told(cell):
    with pytest.raises(InputError, match="gauge at hand"):
        at_hand_in([["gauge at hand", cell]])
