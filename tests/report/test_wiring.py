"""The verdict on a harness in words."""

import re
from importlib.resources import files

import pytest

from plumbrise.cautions import DEFER, FALLING_GANTRY, PLUGGING
from plumbrise.files.harness_file import read_harness
from plumbrise.report.wiring import FIRST, REMEDIES, next_words, wiring_text
from plumbrise.wiring import FINDINGS, NextReading, Verdict, judge

DEMO = (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8")
ONE = """
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 4]] }
motor = { coil_ohm = 2.6 }
"""
PROVEN = (
    ONE
    + """
measured = [
    { at = "board", between = [1, 2], ohm = 2.9 },
    { at = "board", between = [3, 4], ohm = 2.9 },
    { at = "board", between = [1, 3], open = true },
    { at = "board", between = [1, "frame"], open = true },
    { at = "board", between = [3, "frame"], open = true },
]
"""
)


def said(text):
    harness = read_harness(text, name="h.toml")
    return wiring_text(harness, judge(harness))


def test_the_answer_comes_first_and_says_what_to_do_with_the_power():
    assert said(DEMO).splitlines()[1] == "No go. Leave the power off."
    assert said(ONE).splitlines()[1] == "Cannot tell yet. Leave the power off."
    assert said(PROVEN).splitlines()[1].startswith("Go.")


@pytest.mark.parametrize("text", [DEMO, ONE, PROVEN])
def test_cautions_stand_in_full_and_mains_are_deferred_every_time(text):
    shown = said(text)
    assert PLUGGING.words in shown
    assert FALLING_GANTRY.words in shown
    assert shown.splitlines()[2] == FIRST
    assert re.search(r"unplug|hold|measure", shown, re.IGNORECASE).start() > shown.index(FIRST)
    assert "outside this check" in shown
    assert shown.rstrip().endswith(DEFER)


def test_a_go_lists_what_it_took_on_word_and_what_it_cannot_see():
    shown = said(PROVEN)
    assert "the board drives contacts 1 and 2, 3 and 4" in shown
    assert "What no meter sees" in shown
    assert "What no meter sees" not in said(DEMO)


def test_the_demo_is_mended_by_place_and_colour_at_the_motor_end():
    shown = said(DEMO)
    assert "carriage, motor end: swap the wires in places 3 and 4 (white and violet)." in shown
    assert "carriage, motor end: move the wire from place 5 to the empty place 6 (orange)." in shown


def test_the_next_reading_says_where_and_what_each_answer_would_mean():
    shown = said(ONE)
    assert "left: contact 1 and contact 2, at the cable's board end" in shown
    assert "Open: the pair is split" in shown


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (NextReading("left", "look-up", "board", None, None, "w."), "look it up"),
        (NextReading("left", "leads", "meter", None, None, "w."), "tips together"),
        (NextReading("left", "read", "motor", (1, 0), 0.5, "w."), "contact 1 and the frame"),
        (NextReading("left", "read", "cable", (1, 3), 0.5, "w."), "board contact 1 and motor"),
        (NextReading("left", "bridge", "board", (1, 2), None, "w."), "bridge contact 1"),
    ],
)
def test_each_way_of_measuring_has_its_words(asked, words):
    assert words in next_words(asked)
    assert next_words(asked).endswith("w.")


def test_every_kind_of_finding_has_words_and_every_remedy_a_kind():
    assert set(REMEDIES) <= set(FINDINGS)
    for kind in FINDINGS.values():
        assert kind.words.endswith(".")
        assert "!" not in kind.words


def test_each_verdict_is_said():
    verdicts = {judge(read_harness(text, name="h.toml")).verdict for text in (DEMO, ONE, PROVEN)}
    assert verdicts == set(Verdict)
