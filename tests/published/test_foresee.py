"""Foretelling prints against closed forms: geometry of a bead, sampling of a wave.

How sure: closed forms, recomputed by hand and by a second numerical route; nothing was printed.
"""

import numpy as np
import pytest

from plumbrise.axis import sound
from plumbrise.foresee import Lift, Print, one_axis
from plumbrise.foresee.bands import ripple_mm, seen_as
from plumbrise.foresee.bead import area_mm2, perimeter_mm, widths_mm
from plumbrise.foresee.heights import heights
from plumbrise.foresee.layers import gaps_mm
from plumbrise.machine import blank


def _change_um(width, height, gaps):
    area = area_mm2(width_mm=width, height_mm=height)
    return 1000 * (widths_mm(area, np.array(gaps)) - width)


def test_FOR_01_area_and_girth_of_a_stadium():
    """Geometry, closed form; 1e-9 relative on seven printed digits."""
    assert area_mm2(width_mm=0.45, height_mm=0.20) == pytest.approx(0.05 + np.pi * 0.01, rel=1e-9)
    assert area_mm2(width_mm=0.45, height_mm=0.20) == pytest.approx(0.0814159, abs=5e-8)
    assert perimeter_mm(width_mm=0.45, height_mm=0.20) == pytest.approx(1.1283185, abs=5e-8)


def test_FOR_02_the_same_volume_in_other_gaps():
    """w' = A/h' + h'(1 - π/4), closed form; 0.05 µm."""
    found = _change_um(0.45, 0.20, [0.15, 0.18, 0.19, 0.21])
    assert found == pytest.approx([125.0, 40.9, 19.3, -17.2], abs=0.05)


def test_FOR_03_thin_layers_widen_most():
    """The same law at 0.45 and 0.10 mm; 0.05 µm."""
    found = _change_um(0.45, 0.10, [0.05, 0.08, 0.09, 0.11])
    assert found == pytest.approx([417.8, 102.8, 45.5, -36.8], abs=0.05)


def test_FOR_04_thick_layers_widen_least():
    """The same law at 0.50 and 0.30 mm; 0.05 µm."""
    found = _change_um(0.50, 0.30, [0.25, 0.28, 0.29, 0.31])
    assert found == pytest.approx([76.4, 26.8, 12.9, -11.9], abs=0.05)


def test_FOR_05_a_gap_that_the_bead_does_not_fill_has_no_width():
    """Geometry: no stadium is narrower than it is high; said so, and no negative number."""
    area = area_mm2(width_mm=0.45, height_mm=0.20)
    just = float(np.sqrt(4 * area / np.pi))  # a full circle
    widths = widths_mm(area, np.array([0.999 * just, 1.001 * just, 3 * just]))
    assert widths[0] >= 0.999 * just
    assert np.isnan(widths[1:]).all()


@pytest.mark.parametrize("lift", Lift)
def test_FOR_06_gaps_add_up_to_the_top_over_the_bed(lift):
    """Telescoping, an identity whatever the axis does; 1e-9."""
    made = heights(one_axis(sound(blank("one-screw"))), Print(lift=lift), np.random.default_rng(0))
    gaps = gaps_mm(made, np.random.default_rng(1))
    top = np.cumsum(gaps, axis=1)[:, -1]
    either = made.foretold_mm[:, -1]
    assert np.minimum(abs(top - either[..., 0]), abs(top - either[..., 1])).max() < 1e-9


@pytest.mark.parametrize(
    ("period", "expected_um"),
    [(2, (6.26, 12.36, 18.16)), (4, (3.14, 6.26, 9.34)), (8, (1.57, 3.14, 4.70))],
)
def test_FOR_10_thickness_of_layers_from_a_sampled_sine(period, expected_um):
    """2a sin(πh/P), a = 20 µm, layers of 0.1, 0.2 and 0.3 mm; 0.005 µm."""
    found = [
        1000 * ripple_mm(amplitude_mm=0.02, period_mm=period, layer_mm=h) for h in (0.1, 0.2, 0.3)
    ]
    assert found == pytest.approx(expected_um, abs=0.0051)


def test_FOR_10_agrees_with_layers_laid_one_by_one():
    """The same amplitude from differences of the sine itself, at 2000 layers."""
    layers = np.arange(2001) * 0.3
    thick = np.diff(0.02 * np.sin(2 * np.pi * layers / 7.3))
    formula = ripple_mm(amplitude_mm=0.02, period_mm=7.3, layer_mm=0.3)
    assert np.abs(thick).max() == pytest.approx(formula, rel=1e-4)


@pytest.mark.parametrize(("period", "layer"), [(0.16, 0.16), (0.16, 0.32), (0.04, 0.2)])
def test_FOR_11_layers_that_meet_the_same_phase_do_not_differ(period, layer):
    """h a whole multiple of P: zero; 1e-12."""
    assert ripple_mm(amplitude_mm=0.02, period_mm=period, layer_mm=layer) == pytest.approx(
        0, abs=1e-12
    )
    assert seen_as(period_mm=period, layer_mm=layer).visible_layers is None


@pytest.mark.parametrize(
    ("period", "layer", "layers", "mm"),
    [
        (8, 0.2, 40, 8),
        (2, 0.3, 20 / 3, 2.0),
        (0.16, 0.2, 4, 0.8),
        (0.16, 0.12, 4, 0.48),
        (0.16, 0.1, 8 / 3, 0.8 / 3),
        (0.04, 0.25, 4, 1.0),
        (0.04, 0.3, 2, 0.6),
        (2, 1.9, 20, 38),
    ],
)
def test_FOR_20_visible_period_in_layers_and_mm(period, layer, layers, mm):
    """alias = |h/P - round(h/P)|; 1e-6."""
    seen = seen_as(period_mm=period, layer_mm=layer)
    assert seen.visible_layers == pytest.approx(layers, rel=1e-6)
    assert seen.visible_mm == pytest.approx(mm, rel=1e-6)


def test_FOR_21_the_exact_repeat_may_be_longer_than_the_visible_wave():
    """h/P = p/q in lowest terms: q layers; both are stated."""
    seen = seen_as(period_mm=0.16, layer_mm=0.1)
    assert (seen.repeat_layers, seen.repeat_mm) == (8, pytest.approx(0.8))
    assert seen.visible_layers == pytest.approx(8 / 3)


def test_FOR_22_the_mean_of_a_whole_turn_swings_less_than_any_place_of_it():
    """sin(x)/x at x = πh/P, 0.98363 for (2, 0.2); 1e-5. A seamless layer laid turn on turn: its
    mean thickness is evened out by that factor, the thickness at any one place is not."""
    layer, period, size, around = 0.2, 2.0, 0.02, 20_000
    told = layer * (np.arange(11)[:, None] + (np.arange(around) + 0.5) / around)
    thick = np.diff(told + size * np.sin(2 * np.pi * told / period), axis=0)
    ripple = ripple_mm(amplitude_mm=size, period_mm=period, layer_mm=layer)
    each, whole = np.ptp(thick, axis=0).max() / 2, np.abs(thick.mean(axis=1) - layer).max()
    assert each == pytest.approx(ripple, rel=1e-6)
    assert whole <= 0.98363 * ripple * (1 + 1e-5)
    crest = np.hypot(
        *(
            2 * np.mean((thick.mean(axis=1) - layer) * wave(np.pi * np.arange(10) / 5))
            for wave in (np.cos, np.sin)
        )
    )
    assert crest / ripple == pytest.approx(0.98363, abs=1e-5)
