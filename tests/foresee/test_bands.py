"""Bands of known waves, and what fits a spacing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.axis import layout_of, sound, with_lift
from plumbrise.errors import InputError
from plumbrise.foresee import Axes, Print, one_axis
from plumbrise.foresee.bands import THRESHOLDS, noticed, ripple_mm, seen_as
from plumbrise.foresee.spacing import How, makers, what_fits
from plumbrise.foresee.waves import bands_of
from plumbrise.machine import PerSide, blank
from plumbrise.machine.description import Drive, Guide, Screw


def _machine(lead=8.0, arrangement="one-screw", **parts):
    return replace(blank(arrangement), screw=PerSide(Screw(lead_mm=lead)), **parts)


def _with_turn(amplitude, machine):
    return with_lift(
        sound(machine),
        lambda lift: replace(lift, thread=replace(lift.thread, turn_cos_mm=amplitude)),
    )


@given(period=st.floats(0.03, 80), layer=st.floats(0.05, 0.4))
def test_a_wave_shows_as_layers_of_the_same_heights_would_show_its_alias(period, layer):
    seen = seen_as(period_mm=period, layer_mm=layer)
    if seen.visible_layers is None or seen.visible_layers > 500:
        return
    k = np.arange(200)
    real = np.cos(2 * np.pi * k * layer / period)
    alias = np.cos(2 * np.pi * k / seen.visible_layers)
    assert real == pytest.approx(alias, abs=1e-6)
    assert seen.visible_layers >= 2 - 1e-9


@given(steps=st.integers(1, 12), layers=st.integers(1, 12))
def test_an_exact_repeat_holds_whole_waves(steps, layers):
    period = 0.16
    layer = period * steps / layers
    seen = seen_as(period_mm=period, layer_mm=layer)
    assert seen.repeat_layers * layer / period == pytest.approx(
        round(seen.repeat_layers * layer / period)
    )


def test_a_wandering_thread_shows_once_a_lead_with_the_ripple_of_a_sampled_sine():
    band = bands_of(one_axis(_with_turn(0.02, _machine())), Print()).waves[0]
    assert (band.cause, band.seen.visible_mm) == ("screw-bend", pytest.approx(8.0))
    expected = ripple_mm(amplitude_mm=0.02, period_mm=8.0, layer_mm=0.2)
    assert band.ripple_mm.estimate == pytest.approx(expected)


def test_the_foretold_layers_show_that_very_ripple(losing):
    from plumbrise.foresee.heights import heights

    axis = losing(0.0)
    axis = with_lift(
        axis, lambda one: replace(one, thread=replace(one.thread, turn_mm=8.0, turn_sin_mm=0.02))
    )
    made = heights(one_axis(axis), Print(layers=80), np.random.default_rng(0))
    gaps = np.diff(made.usual_mm[0, :, -1, 0])
    expected = ripple_mm(amplitude_mm=0.02, period_mm=8.0, layer_mm=0.2)
    assert (gaps.max() - gaps.min()) / 2 == pytest.approx(expected, rel=1e-2)


def test_without_a_lead_no_band_is_told_and_the_reason_is_said():
    bands = bands_of(one_axis(sound(blank("one-screw"))), Print())
    assert bands.waves == ()
    assert bands.same_phase is None
    assert any("lead" in words for words in bands.cannot_tell)


def test_layers_of_whole_four_step_multiples_are_offered():
    same = bands_of(one_axis(sound(_machine())), Print()).same_phase
    assert same.heights_mm == pytest.approx((0.16, 0.32))
    assert (same.nearest_mm, same.in_use) == (pytest.approx(0.16), False)
    assert bands_of(one_axis(sound(_machine())), Print(layer_mm=0.16)).same_phase.in_use


def test_a_tight_spot_leaves_one_mark_at_its_height():
    axis = replace(
        sound(_machine()), tight_spot=replace(sound(_machine()).tight_spot, strength=8.0)
    )
    one = one_axis(axis)
    centre = one.thetas[0, layout_of(axis).index("spot_centre_mm")]
    bump = bands_of(Axes(one.base, one.thetas, {}), Print()).bumps[0]
    assert bump.at_mm.estimate == pytest.approx(centre)
    assert abs(bump.off_mm.estimate) > 0.001
    assert bump.probability == 1.0
    plain = one_axis(sound(_machine()))
    assert bands_of(plain, Print()).bumps == ()


def test_thresholds_rise_and_long_waves_need_more():
    sizes = [one.from_mm for one in THRESHOLDS]
    assert sizes == sorted(sizes)
    assert noticed(0.06, 1.0).id == "obvious"
    assert noticed(0.06, 10.0).id == "seen"
    assert noticed(1.0, None).id == "unseen"


@pytest.mark.parametrize(
    ("spacing", "cause", "how"),
    [(8.0, "screw-bend", How.WAVE), (0.8, "microstep-error", How.WAVE)],
)
def test_a_spacing_finds_its_maker(spacing, cause, how):
    fit = what_fits(_machine(), spacing_mm=spacing, layer_mm=0.2).fits[0]
    assert (fit.maker.cause, fit.how) == (cause, how)


def test_a_spacing_twice_the_wave_is_offered_as_every_second_band():
    fits = what_fits(_machine(), spacing_mm=1.6, layer_mm=0.2).fits
    assert [fit.how for fit in fits] == [How.EVERY_SECOND]


def test_a_pattern_that_repeats_later_than_it_waves_is_found_by_its_repeat():
    fits = what_fits(_machine(), spacing_mm=0.8, layer_mm=0.1).fits
    assert any(fit.how is How.REPEAT and fit.maker.cause == "microstep-error" for fit in fits)


@given(lead=st.sampled_from([1.0, 2.0, 4.0, 8.0]), layer=st.sampled_from([0.1, 0.16, 0.2, 0.3]))
def test_every_maker_that_shows_is_found_again_from_its_own_bands(lead, layer):
    machine = _machine(lead)
    for maker in makers(machine):
        seen = seen_as(period_mm=maker.period_mm, layer_mm=layer)
        if seen.visible_mm is not None:
            found = what_fits(machine, spacing_mm=seen.visible_mm, layer_mm=layer).fits
            assert maker.period_mm in [fit.maker.period_mm for fit in found]


def test_belts_and_rollers_make_bands_of_their_own():
    drive = Drive(motor_teeth=20, screw_teeth=40)
    machine = _machine(8.0, "two-screw", drive=drive, guide=Guide(kind="rollers"))
    periods = [maker.period_mm for maker in makers(machine)]
    assert 8.0 * 20 / 40 in periods  # the motor turns twice for a turn of the screw
    assert 8.0 / 40 in periods
    assert any(60 < period < 85 for period in periods)


def test_a_heater_is_held_against_the_time_of_the_layers():
    answer = what_fits(_machine(), spacing_mm=1.6, layer_mm=0.2, layer_s=10.0)
    assert "80 s" in answer.heater
    assert "seldom" in what_fits(_machine(), spacing_mm=1.6, layer_mm=0.2, layer_s=900).heater


def test_without_a_lead_the_screw_cannot_be_told():
    answer = what_fits(blank("one-screw"), spacing_mm=8, layer_mm=0.2)
    assert answer.cannot_tell


@pytest.mark.parametrize("spacing", [0.0, -1.0, float("nan")])
def test_a_spacing_that_is_none_is_refused(spacing):
    with pytest.raises(InputError, match="ten bands"):
        what_fits(_machine(), spacing_mm=spacing, layer_mm=0.2)


def test_a_spiral_evens_out_what_runs_on_within_a_layer():
    axes = one_axis(_with_turn(0.02, _machine(1.0)))
    steps = bands_of(axes, Print(layer_mm=0.3)).waves[0].ripple_mm.estimate
    spiral = bands_of(axes, Print(layer_mm=0.3, spiral=True)).waves[0].ripple_mm.estimate
    assert 0.8 < spiral / steps < 0.9
