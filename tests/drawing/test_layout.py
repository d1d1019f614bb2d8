"""Nothing written on a drawing covers anything else written, and nothing leaves the sheet."""

from dataclasses import replace
from itertools import combinations
from math import dist
from xml.etree import ElementTree

import pytest

from plumbrise.drawing import load_path
from plumbrise.drawing.labels import crossed
from plumbrise.drawing.marking import Marking, mark
from plumbrise.machine import PerSide, blank, stations_of
from plumbrise.machine.description import Screw

ARRANGEMENTS = ("one-screw", "two-screw", "two-screw-tied", "three-screw-bed")
WIDTHS = (360, 600, 700, 860, 1200)
SIZES = ((700, 462), (340, 374), (860, 640), (372, 430), (860, 700))
"""A report in print and on a page, its phone drawing, the page and its phone drawing, the file."""
MARKINGS = (
    "blank",
    "by readings alone",
    "explained",
    "shared",
    "next at the motor",
    "computed",
    "assumed",
    "at the middle",
    "pressed",
    "negative",
    "zero",
    "huge",
    "lopsided",
)


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("width", WIDTHS)
def test_labels_keep_clear_of_each_other_and_of_the_edge(
    arrangement, name, width, marked, sheet_of
):
    machine = blank(arrangement)
    made = load_path(machine, marked(machine, name), width_px=width)
    assert sheet_of(made).clashes == []


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("width", WIDTHS)
def test_a_screw_on_the_right_is_as_tidy(name, width, marked, sheet_of):
    machine = replace(blank("one-screw"), screw=PerSide(Screw(side="right")))
    made = load_path(machine, marked(machine, name), width_px=width)
    assert sheet_of(made).clashes == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("height", [300, 470, 1000])
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_any_height_asked_for_is_as_tidy(arrangement, width, height, marked, sheet_of):
    machine = blank(arrangement)
    made = load_path(machine, marked(machine, "explained"), width_px=width, height_px=height)
    assert sheet_of(made).clashes == []


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_no_word_and_no_dial_lies_over_a_part(arrangement, width, height, name, marked, sheet_of):
    machine = blank(arrangement)
    sheet = sheet_of(load_path(machine, marked(machine, name), width_px=width, height_px=height))
    assert sheet.covered == []
    assert sheet.clashes == []


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_gauge_to_read_next_is_drawn_at_every_size(
    arrangement, width, height, marked, sheet_of
):
    machine = blank(arrangement)
    marking = marked(machine, "explained")
    sheet = sheet_of(load_path(machine, marking, width_px=width, height_px=height))
    assert len(sheet.dials) == 1


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_small_picture_of_a_place_to_read_is_as_tidy(arrangement, sheet_of):
    machine = blank(arrangement)
    for station in stations_of(machine.arrangement):
        made = load_path(machine, mark(machine, here=station.id), width_px=320, height_px=380)
        assert sheet_of(made).covered == []


def test_a_word_over_the_base_or_the_bed_is_found(sheet_of):
    sheet = sheet_of(load_path(blank("one-screw"), Marking()))
    base, bed = (
        next(sheet.groups("data-part")[part].iter("{http://www.w3.org/2000/svg}rect"))
        for part in ("frame", "bed")
    )
    for rect in (base, bed):
        words = ElementTree.SubElement(sheet.root, "{http://www.w3.org/2000/svg}text")
        words.attrib |= {"x": rect.get("x"), "y": rect.get("y"), "font-size": "12"}
        words.text = f"over it at {rect.get('y')}"
    assert sheet.covered == [f"over it at {rect.get('y')}" for rect in (base, bed)]


def _lines(sheet):
    """Straight lines drawn about the axis: dimensions, extensions and leaders."""
    kept_out = {
        line
        for group in sheet.all("g")
        if group.get("data-part") in ("axis", "key", "scale-bars", "plan")
        for line in group.iter("{http://www.w3.org/2000/svg}line")
    }
    return [
        tuple(float(line.get(name)) for name in ("x1", "y1", "x2", "y2"))
        for line in sheet.all("line")
        if line not in kept_out
    ]


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_runs_through_a_word(arrangement, name, width, marked, sheet_of):
    machine = blank(arrangement)
    sheet = sheet_of(load_path(machine, marked(machine, name), width_px=width))
    struck = [
        words
        for words, box in sheet.labels
        for x1, y1, x2, y2 in _lines(sheet)
        if not words.isdigit() and crossed(box.grown(-1), (x1, y1), (x2, y2))
    ]
    assert struck == []


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("width", WIDTHS)
def test_balloons_stand_side_by_side(arrangement, name, width, marked, sheet_of):
    machine = blank(arrangement)
    sheet = sheet_of(load_path(machine, marked(machine, name), width_px=width))
    for group in sheet.groups("data-part").values():
        if group.get("data-part") != "balloons":
            continue
        rings = [
            (float(c.get("cx")), float(c.get("cy")))
            for c in group.iter("{http://www.w3.org/2000/svg}circle")
            if float(c.get("r")) == 11
        ]
        assert all(dist(a, b) >= 22 for a, b in combinations(rings, 2))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_no_letter_is_smaller_than_twelve_px(arrangement, width, marked, sheet_of):
    machine = blank(arrangement)
    sheet = sheet_of(load_path(machine, marked(machine, "explained"), width_px=width))
    assert min(float(t.get("font-size")) for t in sheet.all("text")) >= 12


@pytest.mark.parametrize("arrangement", ["two-screw", "two-screw-tied"])
def test_a_ledger_line_on_a_phone_still_tells_left_from_right(arrangement, marked, sheet_of):
    machine = blank(arrangement)
    made = load_path(machine, marked(machine, "by readings alone"), width_px=360)
    for key, group in sheet_of(made).groups("data-row").items():
        words = " ".join(t.text for t in group.iter("{http://www.w3.org/2000/svg}text"))
        side = key.split("-")[0]
        if side in ("left", "right") and "racking" not in key:
            assert side in words
        assert "…" not in words
