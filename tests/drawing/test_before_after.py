"""Bars of what is lost now and then."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.drawing.before_after import before_after, pairs
from plumbrise.explain import Interval
from plumbrise.redesign import LOST_MOTION, Choice, Line, Prediction, Span, Target

NOTHING = Line((), Span(0, 0, 0), Span(0, 0, 0), 0.5)
TARGET = Target(LOST_MOTION, 0.05)


def choice(now, then):
    ends = ("gantry-left", "gantry-right")
    said = Prediction(
        LOST_MOTION, dict(zip(ends, now, strict=True)), dict(zip(ends, then, strict=True)), 0, 1
    )
    return Choice(NOTHING, (), (said,), (), (), {}, (), ())


def near(value, arm):
    return Interval(value, value - arm, value + arm)


USUAL = choice((near(0.52, 0.04), near(0.85, 0.07)), (near(0.03, 0.01), Interval(0.04, 0.02, 0.2)))


def bars(sheet):
    found = {}
    for end, group in sheet.groups("data-end").items():
        for bar in group.iter():
            if bar.get("data-bar"):
                rect = next(e for e in bar.iter() if e.tag.endswith("rect"))
                found[end, bar.get("data-bar")] = rect
    return found


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize("width", [320, 340, 700])
@pytest.mark.parametrize("target", [None, TARGET, Target(LOST_MOTION, 3.0)])
def test_no_words_cover_others_or_leave_the_sheet(width, theme, target, sheet_of):
    sheet = sheet_of(before_after(USUAL, target, theme=theme, width_px=width))
    assert sheet.clashes == []


def test_bars_are_as_long_as_what_is_lost(sheet_of):
    found = bars(sheet_of(before_after(USUAL, TARGET)))
    wide = {key: float(rect.get("width")) for key, rect in found.items()}
    assert wide["right", "now"] / wide["left", "now"] == pytest.approx(0.85 / 0.52, rel=0.01)
    assert wide["left", "then"] < wide["left", "now"]


def test_what_is_foretold_is_dashed_and_what_is_now_is_not(sheet_of):
    for (_, name), rect in bars(sheet_of(before_after(USUAL, TARGET))).items():
        assert (rect.get("stroke-dasharray") is not None) == (name == "then")


def test_it_is_spoken_with_both_figures_and_the_target(sheet_of):
    words = sheet_of(before_after(USUAL, TARGET)).all("desc")[0].text
    assert "left: now 0.52 ± 0.05 mm, then 0.03 ± 0.01 mm." in words
    assert "Target: 0.05 mm." in words


@settings(max_examples=40)
@given(st.lists(st.floats(1e-4, 50.0), min_size=4, max_size=4))
def test_any_losses_stay_on_the_sheet(sheet_of, values):
    spans = [Interval(v, 0.5 * v, 2 * v) for v in values]
    sheet = sheet_of(before_after(choice(spans[:2], spans[2:]), TARGET, width_px=340))
    for rect in bars(sheet).values():
        assert float(rect.get("x")) + float(rect.get("width")) <= 340


def test_ends_that_are_new_have_no_pair():
    said = Prediction(LOST_MOTION, {}, {"gantry-left": near(0.1, 0.01)}, None, None)
    assert pairs(Choice(NOTHING, (), (said,), (), (), {}, (), ())) == ()
