"""Noise of a run: free zero, neighbours that err together, slips of the hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats

from plumbrise.axis import prepare
from plumbrise.explain.noise import Level, first_level, rescaled
from plumbrise.explain.slips import mended
from plumbrise.explain.witness import Jump, set_aside, with_jumps, with_noise, witness
from plumbrise.readings import Readings


def witness_of(made, plan=None):
    readings = made.read_off(made.SOUND, plan or made.GANTRY)
    return witness(prepare(made.MACHINE, readings), 0.001)


@given(zero_mm=floats(-50, 50))
def test_a_shift_of_a_whole_run_is_no_deviation_at_all(made, zero_mm):
    seen = witness_of(made, made.GANTRY[:1])
    shifted = seen.whiten(np.full((seen.count, 1), zero_mm))
    assert np.abs(shifted).max() < 1e-6


def test_whitening_gives_noise_of_unit_spread_and_takes_one_freedom_a_run(made):
    seen = witness_of(made, made.GANTRY[:1])
    noise = seen.noise[0]
    inverse = noise.whiten.T @ noise.whiten
    sizes = np.linalg.eigvalsh(inverse)
    assert sizes[0] == pytest.approx(0, abs=1e-6 * sizes[-1])
    assert sizes[1] > 0
    far_apart = np.trace(noise.whiten @ np.diag(noise.sd**2) @ noise.whiten.T)
    assert far_apart > seen.count - 1  # what neighbours share counts less than its size


def test_a_misread_reading_weighs_next_to_nothing(made):
    seen = witness_of(made)
    spread = np.zeros(seen.count)
    spread[5] = 100.0
    off = np.zeros((seen.count, 1))
    off[5] = 0.3
    before = np.sum(seen.whiten(off) ** 2)
    after = np.sum(with_noise(seen, seen.level, spread).whiten(off) ** 2)
    assert after < 1e-4 * before
    assert set_aside(with_noise(seen, seen.level, spread))[5]


def test_noise_is_rescaled_by_what_was_left_and_slowly_with_few_readings():
    level = first_level(0.001)
    large = rescaled(level, (4 * 400.0, 400.0), (0.0, 0.0), 0.001)
    small = rescaled(level, (4 * 5.0, 5.0), (0.0, 0.0), 0.001)
    assert large.sigma_mm > small.sigma_mm > level.sigma_mm
    assert large.sigma_mm < 2.01 * level.sigma_mm


def test_noise_never_falls_below_what_the_gauge_resolves():
    level = rescaled(Level(0.003, 0.03, 0.05), (0.0, 1e6), (0.0, 1e6), 0.01)
    assert level.sigma_mm == pytest.approx(0.8 * 0.01 / np.sqrt(12))


def with_reading(readings, run, index, value):
    runs = list(readings.runs)
    rows = list(runs[run].readings)
    rows[index] = replace(rows[index], reading_mm=value)
    runs[run] = replace(runs[run], readings=tuple(rows))
    return Readings(tuple(runs))


def test_a_whole_turn_of_the_dial_is_taken_back(made):
    readings = made.read_off(made.SOUND, made.GANTRY)
    true = readings.runs[0].readings[9].reading_mm
    odd = with_reading(readings, 0, 9, true + 1.0)
    found = mended(witness(prepare(made.MACHINE, odd), 0.001))
    assert found.read_mm[9] == pytest.approx(true)
    assert [slip.reading for slip in found.slips] == [9]


def test_a_sound_table_is_not_mended(made):
    seen = witness_of(made)
    found = mended(seen)
    assert not found.slips
    assert np.array_equal(found.read_mm, seen.read_mm)


def test_a_free_step_reaches_to_the_end_of_its_run(made):
    seen = with_jumps(witness_of(made), (Jump(0, 5),))
    column = seen.columns[:, -1]
    bound = seen.bounds[0]
    assert column[: bound.start + 5].sum() == 0
    assert column.sum() == bound.stop - bound.start - 5
