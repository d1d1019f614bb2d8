"""The chart of before and after, and the two drawings at one factor."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.drawing import mark, proof_chart, two_stages
from plumbrise.drawing.figures import Span
from plumbrise.drawing.marking import End
from plumbrise.drawing.proof_chart import ChangeRow
from plumbrise.drawing.tokens import Line
from plumbrise.drawing.two_stages import common_factor
from plumbrise.machine import blank

ROWS = (
    ChangeRow("Lost motion, left", Span(0.5, 0.48, 0.52), Span(0.02, 0.01, 0.03), "better"),
    ChangeRow(
        "Lost motion, right",
        Span(0.9, 0.88, 0.92),
        Span(0.03, 0.02, 0.04),
        "better",
        Span(0.03, 0.01, 0.06),
    ),
)
LENGTHS = st.floats(0.0, 3.0)


@pytest.mark.parametrize("width", [340, 700])
@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_the_chart_is_a_drawing_that_speaks(width, theme):
    made = proof_chart(ROWS, target_mm=0.05, theme=theme, width_px=width)
    root = ET.fromstring(made)
    assert root.get("width") == str(width)
    assert "0.50 ± 0.02 mm before, 0.02 ± 0.01 mm after: better" in made


def test_before_is_hollow_and_after_is_filled():
    circles = re.findall(r"<circle[^>]*>", proof_chart(ROWS[:1]))
    fills = [re.search(r'fill="([^"]+)"', c)[1] for c in circles]
    strokes = [re.search(r'stroke="([^"]+)"', c)[1] for c in circles]
    assert fills[0] != strokes[0]
    assert fills[1] == strokes[1]


@given(LENGTHS, LENGTHS, st.sampled_from((340, 520, 780)))
def test_every_mark_lies_on_the_sheet(one, two, width):
    row = ChangeRow("A", Span(one, one, one), Span(two, two, two), "cannot tell")
    made = proof_chart([row], target_mm=0.05, width_px=width)
    for x in re.findall(r'cx="([\d.-]+)"', made):
        assert 0 <= float(x) <= width


def test_nothing_to_show_makes_an_empty_chart():
    ET.fromstring(proof_chart([]))


def ends(*losses):
    return tuple(
        End(side, f"gantry-{side}", Span(mm, mm, mm), Line.MEASURED)
        for side, mm in zip(("left", "right"), losses, strict=True)
    )


def test_two_stages_share_the_factor_that_suits_the_larger_loss():
    machine = blank("one-screw")
    bare = mark(machine)
    large, small = replace(bare, ends=ends(0.5, 0.9)), replace(bare, ends=ends(0.02, 0.03))
    factor = common_factor(((machine, large), (machine, small)))
    assert factor == common_factor(((machine, large),))
    for made in two_stages((machine, large), (machine, small)):
        assert f"drawn ×{factor}" in made


def test_where_nothing_moves_there_is_no_factor():
    machine = blank("one-screw")
    assert common_factor(((machine, mark(machine)),)) is None
