"""The harness drawing: whole, within its sheet, and readable at both sizes."""

import re
from importlib.resources import files
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.drawing.harness import NARROW_PX, WIDE_PX, described, harness_drawing
from plumbrise.drawing.letters import text_box
from plumbrise.files.harness_file import read_harness
from plumbrise.wiring import Board, Cable, Drive, Harness, Line, Motor, Reading, judge

DEMO = read_harness(
    (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8"), name="harness.toml"
)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(harness, **rest):
    return ElementTree.fromstring(harness_drawing(harness, judge(harness), **rest))


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_no_words_leave_the_sheet_or_fall_under_12_px(narrow, theme):
    sheet = drawn(DEMO, narrow=narrow, theme=theme)
    width, height = float(sheet.get("width")), float(sheet.get("height"))
    assert width == (NARROW_PX if narrow else WIDE_PX)
    for text in sheet.iter(f"{SVG}text"):
        size = float(text.get("font-size"))
        assert size >= 12
        box = text_box(
            text.text, float(text.get("x")), float(text.get("y")), size,
            anchor=text.get("text-anchor", "start"), bold=text.get("font-weight") is not None,
        )  # fmt: skip
        assert box.left >= 0
        assert box.right <= width
        assert box.bottom <= height


def test_the_verdict_stands_first_and_every_finding_is_written():
    sheet = drawn(DEMO)
    words = [text.text for text in sheet.iter(f"{SVG}text")]
    assert words[0] == "No go. Leave the power off."
    assert "Swap the wires in places 3 and 4 at the motor end." in words
    assert sheet.find(f"{SVG}desc").text == described(judge(DEMO))


def test_every_wire_has_its_own_dash_pattern_and_both_plugs_their_numbers():
    sheet = drawn(DEMO)
    for panel in sheet.iter(f"{SVG}g"):
        wires = [p for p in panel.iter(f"{SVG}path") if p.get("stroke-width") == "2.6"]
        assert len(wires) == 4
        assert len({wire.get("stroke-dasharray") for wire in wires}) == 4
        numbers = [t.text for t in panel.iter(f"{SVG}text") if re.fullmatch(r"\d", t.text)]
        assert numbers == ["1", "2", "3", "4", "1", "2", "3", "4", "5", "6"]


def test_what_was_read_is_solid_and_what_the_board_needs_is_dashed():
    left, right = drawn(DEMO).iter(f"{SVG}g")
    assert "3 Ω" in [t.text for t in left.iter(f"{SVG}text")]
    assert {"open", "not read"} <= {t.text for t in right.iter(f"{SVG}text")}


lines = st.builds(
    lambda joins, coils, measured: Line(
        "left", Board(phases=((1, 2), (3, 4))),
        Cable(tuple(zip((1, 2, 3, 4), joins, strict=True)), ("a very long colour indeed",) * 4),
        Motor(6, coils), tuple(measured),
    ),
    st.permutations((1, 2, 3, 4, 5, 6)).map(lambda row: row[:4]),
    st.sampled_from(((), ((1, 3), (2, 4)), ((1, 6), (2, 5)), ((1, 2, 3), (4, 5, 6)))),
    st.lists(st.builds(
        Reading, st.sampled_from(("board", "motor")),
        st.sampled_from([(1, 2), (1, 3), (1, 4), (2, 3), (2, 4), (3, 4), (1, 0), (4, 0)]),
        ohm=st.sampled_from((0.3, 2.9, 5e4)),
    ), max_size=8),
)  # fmt: skip


@given(lines, st.booleans())
def test_any_harness_is_drawn_whole(line, narrow):
    sheet = drawn(Harness((line,)), narrow=narrow)
    width = float(sheet.get("width"))
    for text in sheet.iter(f"{SVG}text"):
        box = text_box(
            text.text, float(text.get("x")), 0, float(text.get("font-size")),
            anchor=text.get("text-anchor", "start"),
        )  # fmt: skip
        assert box.left >= -1
        assert box.right <= width + 1


def test_a_shared_plug_is_told_in_words():
    line = Line("left", Board(phases=((1, 2), (3, 4))))
    harness = Harness((line, Line("right", line.board)), Drive("parallel", "adaptor"))
    words = [text.text for text in drawn(harness).iter(f"{SVG}text")]
    assert "driver's plug: cannot tell yet" in words
