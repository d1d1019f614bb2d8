"""Colours can be read by anyone, on paper too, and mean the same on every drawing."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.drawing.tokens import RAMP_STEPS_MM, THEMES, ramp_step


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("colour", ["ink", "soft", "meas", "lost", "stop"])
@pytest.mark.parametrize("ground", ["sheet", "sel", "wash"])
@pytest.mark.parametrize("theme", THEMES)
def test_text_stands_out_from_its_ground(theme, ground, colour):
    assert contrast(getattr(THEMES[theme], colour), getattr(THEMES[theme], ground)) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
def test_the_ramp_goes_one_way_in_lightness(theme):
    steps = [luminance(c) for c in THEMES[theme].ramp]
    assert steps in (sorted(steps), sorted(steps, reverse=True))
    assert all(contrast(a, b) >= 1.15 for a, b in pairwise(THEMES[theme].ramp))


@pytest.mark.parametrize("theme", THEMES)
def test_nothing_lost_is_nearest_the_sheet(theme):
    sheet = THEMES[theme].sheet
    apart = [contrast(sheet, c) for c in THEMES[theme].ramp]
    assert apart == sorted(apart)


def test_the_ramp_changes_at_fixed_losses():
    assert RAMP_STEPS_MM == (0.01, 0.02, 0.05, 0.1, 0.2)
    assert [ramp_step(x) for x in RAMP_STEPS_MM] == [0, 1, 2, 3, 4]


@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_a_larger_loss_never_has_a_paler_colour(one, other):
    low, high = sorted((one, other))
    assert ramp_step(low) <= ramp_step(high)


@given(st.floats(-1e6, 1e6))
def test_a_gain_has_the_colour_of_a_loss_as_large(loss):
    assert ramp_step(loss) == ramp_step(-loss)
