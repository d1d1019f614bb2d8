"""Bands of known waves, and what fits a spacing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.axis import layout_of, sound, with_lift
from plumbrise.errors import InputError
from plumbrise.foresee import Axes, Print, one_axis
from plumbrise.foresee.bands import THRESHOLDS, climb_bands, noticed, ripple_mm, seen_as
from plumbrise.foresee.spacing import How, makers, what_fits
from plumbrise.foresee.waves import bands_of
from plumbrise.machine import PerSide, blank
from plumbrise.machine.description import Drive, Guide, Screw, Travel


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
    assert band.ripple_mm.estimate == pytest.approx(expected, rel=0.004)  # 40 phases are met


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
    assert noticed(0.06, 10.0).id == "felt"
    assert noticed(1.0, None).id == "unseen"


def test_a_line_is_noticed_by_its_change_of_width_of_which_each_side_has_half():
    by_width = {"barely": 0.005, "seen": 0.0125, "felt": 0.025, "obvious": 0.05}
    for name, width in by_width.items():
        assert noticed(width / 2, 2.0).id == name
        assert noticed(0.99 * width / 2, 2.0).id != name


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


def test_without_a_lead_common_screws_are_tried_and_that_is_said():
    answer = what_fits(blank("one-screw"), spacing_mm=8, layer_mm=0.2)
    assert answer.common
    assert answer.cannot_tell
    assert answer.fits[0].maker.words == "a screw with a lead of 8 mm, once a turn"


@pytest.mark.parametrize("spacing", [0.0, -1.0, float("nan")])
def test_a_spacing_that_is_none_is_refused(spacing):
    with pytest.raises(InputError, match="ten bands"):
        what_fits(_machine(), spacing_mm=spacing, layer_mm=0.2)


LEADS = st.sampled_from([1.0, 2.0, 4.0, 8.0])
HEIGHTS = st.sampled_from([0.08, 0.1, 0.12, 0.15, 0.16, 0.2, 0.25, 0.3, 0.32])
PHASES = st.floats(0.0, 6.28)


def _axes(machine, name, size, phase):
    one = one_axis(sound(machine))
    terms = {f"{name}:cos": [size * np.cos(phase)], f"{name}:sin": [size * np.sin(phase)]}
    return Axes(one.base, one.thetas, {n: np.array(v) for n, v in terms.items()})


def _swing(job, period, size, phase, *, sideways=False, around=2400, layers=64):
    """How far what is laid swings up a wall at its worst place, half from peak to valley: the
    path of the nozzle laid turn on turn, with the error of every height in it."""
    turn = np.arange(around if job.spiral else 1) / around
    told = job.told_mm(2) + job.layer_mm * (np.arange(layers)[:, None] + turn)

    def off(z):
        return size * np.cos(2 * np.pi * z / period - phase)

    if sideways:
        laid = off(told)
    else:  # over each bead's place the bead under it lies one layer lower
        laid = (told + off(told)) - (told - job.layer_mm + off(told - job.layer_mm))
    return float(np.ptp(laid, axis=0).max()) / 2


@given(lead=LEADS, layer=HEIGHTS, phase=PHASES, spiral=st.booleans())
def test_layers_laid_turn_on_turn_swing_as_foretold(lead, layer, phase, spiral):
    job = Print(layer_mm=layer, spiral=spiral)
    axes = _axes(_machine(lead), "microstep-error:four", 0.01, phase)
    band = bands_of(axes, job).waves[0]
    laid = _swing(job, band.period_mm, 0.01, phase)
    assert band.ripple_mm.estimate == pytest.approx(laid, abs=1e-5 if spiral else 1e-9)


@given(layer=HEIGHTS, phase=PHASES)
def test_a_wall_that_a_bent_screw_pushes_swings_as_its_layers_meet_it(layer, phase):
    axes = _axes(_machine(0.4), "screw-bend:left-right", 0.02, phase)
    band = next(wave for wave in bands_of(axes, Print(layer_mm=layer)).waves if wave.sideways)
    laid = _swing(Print(layer_mm=layer), 0.4, 0.02, phase, sideways=True)
    assert band.wall_mm.estimate == pytest.approx(laid, abs=1e-9)


@given(layer=HEIGHTS, phase=PHASES)
def test_a_bed_that_comes_down_meets_its_screw_from_the_other_end(layer, phase):
    machine = _machine(8.0, "three-screw-bed", travel=Travel(height_mm=250.07))
    axes = _axes(machine, "microstep-error:four", 0.01, phase)
    band = bands_of(axes, Print(layer_mm=layer)).waves[0]
    seen = 2 * np.pi * 250.07 / 0.16 - phase  # a height over the bed is the travel less the axis's
    laid = _swing(Print(layer_mm=layer), 0.16, 0.01, seen)
    assert band.ripple_mm.estimate == pytest.approx(laid, abs=1e-9)


@given(layer=HEIGHTS, turn=st.floats(0.0, 1.0), number=st.integers(0, 200))
def test_on_a_spiral_a_band_climbs_by_as_many_bands_as_is_said(layer, turn, number):
    period = 0.16
    seen = seen_as(period_mm=period, layer_mm=layer)
    climb = climb_bands(period_mm=period, layer_mm=layer)
    height = layer * (number + turn)
    alias = layer / period - climb  # up the wall, once a layer
    on_the_wall = alias * height / layer + climb * turn
    assert np.cos(2 * np.pi * height / period) == pytest.approx(
        np.cos(2 * np.pi * on_the_wall), abs=1e-9
    )
    if seen.visible_layers is not None:
        assert abs(alias) == pytest.approx(1 / seen.visible_layers)


def test_no_machine_is_needed_to_ask_what_fits():
    answer = what_fits(None, spacing_mm=1.6, layer_mm=0.2)
    assert answer.common
    assert answer.cannot_tell
    assert any("lead of 8 mm" in fit.maker.words for fit in answer.fits)
    assert {one.id for one in answer.alike} >= {"heater-cycle", "extrusion"}
    rollers = what_fits(None, spacing_mm=63.0, layer_mm=0.2).fits
    assert any(fit.maker.cause == "guide-drag" for fit in rollers)


def test_a_wave_that_layers_show_longer_than_it_is_is_told_by_another_layer_height():
    machine = _machine(8.0, "two-screw", drive=Drive(motor_teeth=20, screw_teeth=40))
    fits = what_fits(machine, spacing_mm=0.6, layer_mm=0.3).fits  # a tooth is 0.2 mm
    tooth = next(fit for fit in fits if fit.maker.cause == "tie-slack")
    assert "one" not in tooth.maker.tell
    assert "layers of 0.15 mm" in tooth.maker.tell
    again = seen_as(period_mm=0.2, layer_mm=0.15).visible_mm
    assert f"{again:.2f} mm apart" in tooth.maker.tell
    screw = what_fits(machine, spacing_mm=8.0, layer_mm=0.3).fits[0].maker
    assert "meet the mark" in screw.tell


@pytest.mark.parametrize("layer_s", [0.0, -3.0, float("nan"), float("inf")])
def test_a_time_of_a_layer_that_is_none_is_refused(layer_s):
    with pytest.raises(InputError, match=" s allowed"):
        what_fits(None, spacing_mm=1.6, layer_mm=0.2, layer_s=layer_s)


def test_a_tight_spot_is_looked_for_in_no_more_layers_than_show_it():
    axis = replace(
        sound(_machine()), tight_spot=replace(sound(_machine()).tight_spot, strength=8.0)
    )
    one = one_axis(axis)
    drawn = Axes(one.base, np.repeat(one.thetas, 20, axis=0), {})
    marks = [bands_of(drawn, Print(layer_mm=h)).bumps[0].at_mm.estimate for h in (0.012, 0.2)]
    assert marks[0] == pytest.approx(marks[1])
