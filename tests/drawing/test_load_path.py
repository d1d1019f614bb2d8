"""The load path drawing says what was marked on it, to scale, to eye and ear alike."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.drawing import ledger, load_path
from plumbrise.drawing.figures import Span, value_and_doubt
from plumbrise.drawing.geometry import View
from plumbrise.drawing.letters import Box
from plumbrise.drawing.load_path import EXAGGERATIONS, Layout, exaggeration
from plumbrise.drawing.marking import End, Marking
from plumbrise.drawing.tokens import Line
from plumbrise.machine import blank
from plumbrise.machine.description import Drive, Frame, Guide

SVG = "{http://www.w3.org/2000/svg}"
ARRANGEMENTS = ("one-screw", "two-screw", "two-screw-tied", "three-screw-bed")
MARKINGS = (
    "blank",
    "by readings alone",
    "explained",
    "shared",
    "computed",
    "assumed",
    "at the middle",
    "pressed",
    "negative",
    "zero",
    "huge",
    "lopsided",
)
WIDTHS = (360, 860, 1200)


@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_drawing_is_well_formed_with_ids_of_its_own(
    arrangement, theme, name, marked, sheet_of
):
    machine = blank(arrangement)
    made = load_path(machine, marked(machine, name), theme=theme, prefix="mine-")
    ids = [e.get("id") for e in sheet_of(made).root.iter() if e.get("id") is not None]
    assert len(ids) == len(set(ids))
    assert all(found.startswith("mine-") for found in ids)
    assert "nan" not in made


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_ledger_and_the_drawing_say_the_same(arrangement, name, width, marked, sheet_of):
    machine = blank(arrangement)
    marking = marked(machine, name)
    sheet = sheet_of(load_path(machine, marking, width_px=width))
    rows = ledger(marking)
    drawn = sheet.groups("data-row")
    assert set(drawn) == {row.key for row in rows}
    for row in rows:
        assert drawn[row.key].get("aria-label") == row.spoken
        words = " ".join(t.text for t in drawn[row.key].iter(SVG + "text"))
        assert value_and_doubt(row.span)[0] in words


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", MARKINGS)
@pytest.mark.parametrize("arrangement", ["one-screw", "two-screw", "two-screw-tied"])
def test_lines_and_fills_say_how_a_loss_is_known(arrangement, name, width, marked, sheet_of):
    machine = blank(arrangement)
    marking = marked(machine, name)
    bars = sheet_of(load_path(machine, marking, width_px=width)).groups("data-bar")
    for row in ledger(marking):
        if row.key.split("-")[0] in ("end", "drag"):
            continue
        bar = bars[row.key].find(SVG + "rect")
        assert bar.get("fill").startswith("url(#") == (row.line is Line.SHARED)
        dashes = {Line.COMPUTED: "5 3", Line.ASSUMED: ".1 4"}.get(row.line)
        assert bar.get("stroke-dasharray") == dashes


@pytest.mark.parametrize("name", MARKINGS)
def test_stripes_are_there_only_for_links_that_cannot_be_told_apart(name, marked):
    machine = blank("two-screw")
    marking = marked(machine, name)
    shared = any(row.known is Line.SHARED for row in marking.rows)
    assert ("<pattern" in load_path(machine, marking)) == shared


@given(
    span=st.floats(200, 900),
    height=st.floats(200, 1200),
    width=st.sampled_from((360, 700, 1200)),
)
def test_lengths_across_and_upward_have_one_scale(span, height, width):
    from xml.etree import ElementTree

    machine = replace(
        blank("one-screw"),
        guide=Guide(span_mm=span),
        frame=Frame(upright_height_mm=height, upright_width_mm=20),
    )
    root = ElementTree.fromstring(load_path(machine, Marking(), width_px=width))
    frame = next(g for g in root.iter(SVG + "g") if g.get("data-part") == "frame")
    tallest = sorted(frame.iter(SVG + "rect"), key=lambda r: -float(r.get("height")))[:2]
    middles = sorted(float(r.get("x")) + float(r.get("width")) / 2 for r in tallest)
    scale = float(tallest[0].get("height")) / height
    assert middles[1] - middles[0] == pytest.approx(span * scale, abs=0.4 + 1e-3 * span)


@given(st.floats(1e-3, 3), st.floats(0.2, 3), st.floats(200, 1000))
def test_movement_is_enlarged_as_far_as_the_figure_allows(loss, scale, tall):
    marking = Marking(ends=(End("left", "gantry-left", Span(loss, loss, loss), Line.MEASURED),))
    layout = Layout(
        numbered=False,
        figure=Box(0, 0, 800, tall),
        ledger=None,
        plan=None,
        thicker=(),
        key_top=0,
        width=800,
        height=tall,
    )
    factor = exaggeration(marking, View(scale, 0, 0), layout)
    assert factor in EXAGGERATIONS
    larger = [f for f in EXAGGERATIONS if f > factor]
    assert factor == 1 or factor * loss * scale <= 0.08 * tall
    assert not larger or larger[0] * loss * scale > 0.08 * tall


def test_an_exaggeration_that_was_asked_for_is_kept(marked):
    machine = blank("one-screw")
    marking = replace(marked(machine, "explained"), exaggeration=50)
    assert "movement 50 times" in load_path(machine, marking)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_same_facts_give_the_same_drawing(arrangement, marked):
    machine = blank(arrangement)
    marking = marked(machine, "explained")
    assert load_path(machine, marking) == load_path(machine, marking)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_link_can_be_reached_by_key_and_says_what_it_is(arrangement, width, marked, sheet_of):
    machine = blank(arrangement)
    sheet = sheet_of(
        load_path(machine, marked(machine, "shared"), width_px=width, interactive=True)
    )
    reached = [e for e in sheet.root.iter() if e.get("tabindex") == "0"]
    assert all(e.get("aria-label") and e.get("role") == "link" for e in reached)
    links = {link for e in reached for link in (e.get("data-links") or "").split()}
    assert {"seat", "coupling", "nut", "bracket", "screw"} <= links


def test_a_drawing_that_only_hangs_on_the_wall_has_nothing_to_press(marked):
    machine = blank("two-screw")
    assert "tabindex" not in load_path(machine, marked(machine, "shared"))


@given(st.text(max_size=500))
def test_any_name_of_a_machine_stays_a_name(name):
    from xml.etree import ElementTree

    machine = replace(blank("one-screw"), name=name)
    root = ElementTree.fromstring(load_path(machine, Marking(), width_px=360))
    assert not [e for e in root.iter() if e.tag in ("script", SVG + "script")]


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "\"'&", "\x00\x08\x1b", "M" * 500, "]]>", "&#0;"]
)
def test_a_hostile_name_neither_breaks_nor_overruns_the_sheet(name, sheet_of):
    machine = replace(blank("one-screw"), name=name)
    sheet = sheet_of(load_path(machine, Marking(), width_px=360))
    assert not sheet.all("script")
    assert all(box.right <= 360 for _, box in sheet.labels)


@pytest.mark.parametrize("width", WIDTHS)
def test_a_pressed_link_is_ringed_and_its_row_picked_out(width, marked, sheet_of):
    machine = blank("one-screw")
    sheet = sheet_of(load_path(machine, marked(machine, "pressed"), width_px=width))
    rings = [
        g.get("data-part")
        for g in sheet.all("g")
        if g.get("data-links") and any(r.get("stroke-width") == "2.2" for r in g)
    ]
    assert rings == ["coupling-left"]
    row = sheet.groups("data-row")["left-seat-coupling"]
    assert any(r.get("fill") == "#f3ead2" for r in row.iter(SVG + "rect"))
    assert any(t.get("font-weight") for t in row.iter(SVG + "text") if t.text.startswith("Seat"))


def test_a_screw_can_be_pressed_over_at_least_24_px(marked, sheet_of):
    machine = blank("one-screw")
    made = load_path(machine, marked(machine, "shared"), width_px=360, interactive=True)
    screw = sheet_of(made).groups("data-part")["screw-left"]
    targets = [r for r in screw if r.get("pointer-events") == "all"]
    assert max(float(r.get("width")) for r in targets) >= 24


@pytest.mark.parametrize("arrangement", ["one-screw", "two-screw", "three-screw-bed"])
def test_a_belt_between_motor_and_screw_is_drawn(arrangement, sheet_of):
    machine = replace(blank(arrangement), drive=Drive(motor_teeth=20, screw_teeth=40))
    parts = sheet_of(load_path(machine, Marking())).groups("data-part")
    assert "belt-left" in parts
    assert "belt-left" not in sheet_of(load_path(blank(arrangement), Marking())).groups("data-part")


def test_parts_too_thin_to_see_are_listed_as_drawn_thicker(sheet_of):
    narrow = sheet_of(load_path(blank("two-screw"), Marking(), width_px=360))
    wide = sheet_of(load_path(blank("two-screw"), Marking(), width_px=1200, height_px=1400))
    assert any("drawn thicker" in words and "motor shaft" in words for words, _ in narrow.labels)
    assert not any("drawn thicker" in words for words, _ in wide.labels)


def test_a_sheet_is_no_taller_than_its_axis_needs(marked, sheet_of):
    machine = blank("two-screw")
    made = load_path(machine, marked(machine, "explained"), width_px=1000, height_px=1500)
    assert sheet_of(made).size[1] < 1000
