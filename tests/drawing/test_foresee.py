"""Drawings of a forecast: what they hold, and that nothing falls off the sheet."""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import sound
from plumbrise.drawing.band_chart import band_chart
from plumbrise.drawing.forecast_sheet import forecast_sheet, walls_of
from plumbrise.drawing.layer_chart import layer_chart
from plumbrise.drawing.wall_section import Bead, Wall, wall_section
from plumbrise.foresee import Print, foresee_on, one_axis
from plumbrise.machine import PerSide, blank
from plumbrise.machine.description import Screw, Travel

MACHINE = replace(
    blank("one-screw"),
    screw=PerSide(Screw(lead_mm=8.0)),
    travel=Travel(height_mm=250.0),
)


@pytest.fixture(scope="module")
def forecast():
    axis = one_axis(sound(MACHINE))
    return foresee_on(MACHINE, axis, Print(), rng=np.random.default_rng(0))


def _texts(drawing):
    return [one.text for one in ElementTree.fromstring(drawing).iter() if one.tag.endswith("text")]


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize("width", [360, 700])
def test_the_sheet_is_whole_and_every_id_is_its_own(forecast, theme, width):
    drawing = forecast_sheet(MACHINE, forecast, theme=theme, width_px=width)
    ElementTree.fromstring(drawing)
    ids = re.findall(r'\bid="([^"]+)"', drawing)
    assert len(ids) == len(set(ids))


def test_a_wall_is_drawn_to_one_scale():
    beads = tuple(Bead(0.45, 0.2 * k, 0.2 * (k + 1), 0.0) for k in range(5))
    drawing = wall_section([Wall("A", beads, (0.2,) * 5, 0.45, 0.0)])
    rects = [one for one in ElementTree.fromstring(drawing).iter() if one.tag.endswith("rect")]
    sizes = {(float(one.get("width")), float(one.get("height"))) for one in rects if one.get("rx")}
    for wide, high in sizes:
        assert wide / high == pytest.approx(0.45 / 0.2, rel=0.02)


def test_a_layer_without_a_bead_is_left_open_and_none_leaves_its_column():
    beads = (Bead(0.45, 0.0, 0.2, 0.0), Bead(None, 0.2, 0.22, -0.18), Bead(9.0, 0.22, 0.23, -0.19))
    walls = [Wall(name, beads, (0.2,) * 3, 0.45, -0.37) for name in "AB"]
    drawing = wall_section(walls, width_px=400)
    for one in ElementTree.fromstring(drawing).iter():
        if one.tag.endswith("rect"):
            left = float(one.get("x"))
            assert left >= 0
            assert left + float(one.get("width")) <= 400


def test_a_wall_says_how_short_it_is_and_where_it_is_worst(forecast):
    wall = walls_of(MACHINE, forecast)[0]
    texts = _texts(wall_section([wall]))
    assert "Left end of the gantry" in texts
    assert any("mm short" in words for words in texts)
    assert any(words.startswith("layer 2:") for words in texts)


def test_the_best_remedy_stands_beside_the_walls(forecast):
    walls = walls_of(MACHINE, forecast)
    assert walls[-1].name == "With the best remedy"
    assert abs(walls[-1].off_mm) < abs(walls[-2].off_mm)


def test_the_layer_chart_has_a_mark_for_every_layer_of_each_end(forecast):
    drawing = layer_chart(forecast)
    marks = drawing.count('r="3.4"')
    assert marks == len(forecast.layers) + 1  # discs of the left end, and its key
    assert "told 0.2 mm" in _texts(drawing)


def test_bands_without_waves_say_so(forecast):
    none = replace(forecast.bands, waves=())
    assert "Nothing to plot yet" in _texts(band_chart(none, 0.2))
    assert "wall, µm" in _texts(band_chart(forecast.bands, 0.2))
