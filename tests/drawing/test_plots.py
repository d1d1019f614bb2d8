"""Charts of runs: every kind has one, and it shows what it is given."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from plumbrise.analyse import analyse
from plumbrise.demo import scenario
from plumbrise.drawing import chart_for, residual_strip, sides_chart
from plumbrise.drawing.chart import ticks
from plumbrise.drawing.letters import text_box
from plumbrise.drawing.plots import PLOTS
from plumbrise.explain.results import Explanation, RunFit, Unexplained
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale, scale_of

SVG = "{http://www.w3.org/2000/svg}"
NOTHING_LEFT = Unexplained(0.0, 0.0, "none")


def analysed(kind, values, station="gantry-left", targets=None):
    targets = targets or [float(i) for i in range(len(values))]
    rows = tuple(
        Reading(seq=i, target_mm=t, reading_mm=v, approach="up", torque_nmm=10.0, mass_kg=0.1 * i)
        for i, (t, v) in enumerate(zip(targets, values, strict=True))
    )
    run = Run(name="a", kind=KINDS[kind], station=STATIONS[station], readings=rows)
    return analyse(Readings((run,)), Scale(lead_mm=8.0, resolution_mm=0.001)).runs[0]


@pytest.fixture(scope="module")
def evening():
    example = scenario()
    return analyse(example.readings, scale_of(example.machine))


def test_every_kind_of_test_has_its_chart():
    assert {kind.id for kind in PLOTS} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("values", [[], [0.3], [0.0, None, 0.9], [0.0, 0.6, 1.5, 2.5, 3.5, 4.5]])
@pytest.mark.parametrize("width", [320, 700])
def test_a_chart_is_drawn_however_little_was_read(kind, values, width):
    station = "block" if kind == "gauge-check" else "gantry-left"
    drawing = chart_for(analysed(kind, values, station), None, theme="dark", width_px=width)
    root = ET.fromstring(drawing)
    assert root.find(f"{SVG}title").text


def labels(drawing):
    for text in ET.fromstring(drawing).iter(f"{SVG}text"):
        place = {k: text.get(k) for k in ("x", "y", "font-size")}
        yield (
            text.text,
            text_box(
                text.text,
                float(place["x"]),
                float(place["y"]),
                float(place["font-size"]),
                anchor=text.get("text-anchor", "start"),
                bold=text.get("font-weight") is not None,
            ),
        )


@pytest.mark.parametrize("width", [340, 700])
def test_no_words_of_a_chart_stand_on_each_other_or_off_the_sheet(evening, width):
    for run in evening.runs:
        drawing = chart_for(run, None, width_px=width)
        placed = list(labels(drawing))
        for i, (words, box) in enumerate(placed):
            assert box.left >= 0, words
            assert box.right <= width, words
            clashes = [other for other, its in placed[i + 1 :] if box.overlaps(its)]
            assert not clashes, (run.run.name, words, clashes)


def test_a_staircase_marks_how_much_is_lost():
    run = analysed("coarse-steps", [0.0, 0.62, 1.58, 2.57, 3.57, 4.57, 5.57])
    lost = run.figure("lost_motion")
    assert f"lost motion {lost.value}" in chart_for(run, None)


def test_a_misread_that_was_set_aside_is_a_cross_and_no_disc(evening):
    run = next(r for r in evening.runs if r.run.name == "fine-steps nut")
    aside = sum(len(o.readings) for o in run.oddities if o.set_aside)
    assert aside == 1
    drawing = chart_for(run, None)
    assert drawing.count("<circle") == len(run.run.readings) - aside
    assert "set aside" in drawing


def test_what_is_computed_is_dashed():
    run = analysed("coarse-steps", [0.0, 0.62, 1.58, 2.57])
    fit = RunFit(
        "a",
        "gantry-left",
        (0.0, 0.62, 1.58, 2.57),
        (0.0, 0.6, 1.6, 2.6),
        (0.01,) * 4,
        (1.0,) * 4,
        (0, 1, 2, 3),
    )
    assert 'stroke-dasharray="5 3"' in chart_for(run, fit)
    assert 'stroke-dasharray="5 3"' not in chart_for(run, None)


def test_left_is_a_disc_and_right_a_square(evening):
    drawing = sides_chart(evening)
    assert "<circle" in drawing
    assert len(re.findall(r"<rect", drawing)) > 9


def test_what_is_left_over_is_a_point_a_reading():
    fit = RunFit("a", "nut", (0.0, 0.01), (0.0, 0.0), (0.01, 0.01), (1.0, 1.0), (0, 1))
    found = Explanation((), (), (), (), (), NOTHING_LEFT, (), fits=(fit,))
    assert residual_strip(found).count("<circle") == 2


@given(low=st.floats(-500, 500), span=st.floats(1e-4, 500))
@example(low=0.0, span=0.37)
@example(low=5.0, span=0.004)
@example(low=0.0, span=4.0)
def test_ticks_are_few_round_and_within_a_step_of_the_data(low, span):
    low, high = round(low, 4), round(low + span, 4)
    found = ticks(low, high)
    assert 2 <= len(found) <= 6
    steps = [b - a for a, b in pairwise(found)]
    step = steps[0]
    assert steps == pytest.approx([step] * len(steps), abs=1e-6)
    assert found[0] <= low + step * 1.001
    assert found[-1] >= high - step * 1.001
