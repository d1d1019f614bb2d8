"""Nuts: geometry of the thread, statics of flanks and springs, and a textbook's pressure."""

from math import radians, tan

import pytest

from plumbrise.elements import nut
from plumbrise.elements.nut import Flank, SolidHalf


@pytest.mark.parametrize("clearance", [0.05, 0.2, 0.5])
def test_NUT_01_play_from_clearance(clearance):
    """Flank of 15°: play is 0.26795 of the clearance at the pitch diameter; closed form."""
    found = nut.play_mm(clearance_mm=clearance)
    assert found == pytest.approx(tan(radians(15)) * clearance, rel=1e-12)
    assert found / clearance == pytest.approx(0.26795, abs=5e-6)


def test_NUT_02_play_closes_under_more_weight_than_drag():
    """Statics of the two flanks, closed form; spring > drag - weight, upside down drag + weight."""
    down = {"going_up": False}
    assert nut.contact(weight_n=8, drag_n=6, **down).flank is Flank.UPPER
    assert nut.contact(weight_n=6, drag_n=8, **down).flank is Flank.LOWER
    needed = [
        nut.spring_needed_n(weight_n=6, drag_n=8, solid_half=half)
        for half in (SolidHalf.CARRIES_WEIGHT, SolidHalf.UPSIDE_DOWN)
    ]
    assert needed == [8 - 6, 8 + 6]


def test_NUT_03_pressure_on_the_first_thread():
    """Shigley, Mechanical Engineering Design, example 8-1 (from memory)."""
    found = nut.thread_pressure_n_per_mm2(
        axial_load_n=6400, pitch_diameter_mm=30, flank_height_mm=2, turns=1, share=0.38
    )
    assert found == pytest.approx(12.9, abs=0.05)
