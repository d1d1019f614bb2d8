"""Layers straight from a staircase that was read, without a model."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.errors import InputError
from plumbrise.foresee import Lift, Print, Start, foresee_from_readings
from plumbrise.machine import STATIONS, PerSide, blank
from plumbrise.machine.description import Screw, Travel
from plumbrise.readings import KINDS, Reading, Readings, Run

MACHINE = replace(blank("two-screw"), screw=PerSide(Screw(lead_mm=8.0)))


def _staircase(end, lost):
    """Twenty steps of 0.1 mm from home, of which so much is lost as in play."""
    rows = [Reading(seq=0, target_mm=0.0, reading_mm=0.0, approach="down")]
    for k in range(1, 21):
        told = round(0.1 * k, 3)
        rows.append(
            Reading(
                seq=k, target_mm=told, reading_mm=round(max(0.0, told - lost), 4), approach="up"
            )
        )
    name = f"gantry-{end}"
    return Run(name=name, kind=KINDS["fine-steps"], station=STATIONS[name], readings=tuple(rows))


def _gaps(job, *runs, place="left"):
    forecast = foresee_from_readings(MACHINE, Readings(runs), job, rng=np.random.default_rng(0))
    return [layer.at[place].gap_mm.estimate for layer in forecast.layers]


CASES = [
    (Print(layers=4), [0.2, 0.1, 0.2, 0.2]),
    (Print(layers=4, start=Start.UP), [0.1, 0.2, 0.2, 0.2]),
    (Print(layers=4, lift=Lift.EVERY), [0.2, 0.2, 0.2, 0.2]),
    (
        Print(layers=4, start=Start.DIP, dip_to_mm=0.05, offset_mm=0.1),
        [0.2, 0.2, 0.2, 0.2],
    ),
]


@pytest.mark.parametrize(("job", "expected"), CASES)
def test_the_bookkeeping_of_play_holds_without_a_model(job, expected):
    assert _gaps(job, _staircase("left", 0.1)) == pytest.approx(expected, abs=0.004)


def test_with_both_ends_read_the_part_lies_between():
    runs = (_staircase("left", 0.05), _staircase("right", 0.15))
    part = _gaps(Print(layers=2), *runs, place="part")
    assert part[1] == pytest.approx(0.1, abs=0.004)


def test_a_place_outside_the_guides_is_refused_without_a_model_too():
    runs = (_staircase("left", 0.05), _staircase("right", 0.15))
    with pytest.raises(InputError, match="place_mm"):
        _gaps(Print(layers=2, place_mm=5000.0), *runs)


def test_with_one_end_read_the_other_and_the_part_cannot_be_told():
    forecast = foresee_from_readings(
        MACHINE, Readings((_staircase("left", 0.1),)), Print(), rng=np.random.default_rng(0)
    )
    assert forecast.places == ("left",)
    assert any("right end" in words for words in forecast.cannot_tell)
    assert forecast.bands is None
    assert forecast.source == "staircase"


def test_readings_without_a_staircase_are_refused_with_what_to_take():
    with pytest.raises(InputError, match="fine-steps"):
        foresee_from_readings(MACHINE, Readings(()), Print(), rng=np.random.default_rng(0))


def test_a_print_higher_than_the_axis_is_refused_without_a_model_too():
    with pytest.raises(InputError, match="as far as the axis goes"):
        _gaps(Print(layers=2000), _staircase("left", 0.05))


def test_a_force_at_homing_cannot_be_foretold_without_a_model_and_that_is_said():
    runs = Readings((_staircase("left", 0.1),))
    pressed, plain = (
        foresee_from_readings(MACHINE, runs, Print(probe_n=n), rng=np.random.default_rng(0))
        for n in (4.0, 0.0)
    )
    assert len(pressed.cannot_tell) == len(plain.cannot_tell) + 1
    assert "force" in pressed.cannot_tell[-1]


def test_the_layer_that_takes_up_what_is_lost_is_as_unsure_as_drag_from_day_to_day():
    readings = Readings((_staircase("left", 0.1),))
    forecast = foresee_from_readings(
        MACHINE, readings, Print(layers=4), rng=np.random.default_rng(0), count=4000
    )
    first, second = (layer.at["left"].gap_mm for layer in forecast.layers[:2])
    # 0.1 mm is lost with a drag that differs by a tenth twice: as read, and as printed
    drag = 3.29 * 0.1 * np.sqrt(2) * 0.1
    other = first.high - first.low
    assert second.high - second.low == pytest.approx(np.hypot(drag, other), rel=0.15)


def test_no_lift_is_tried_that_is_higher_than_the_axis_goes():
    low = replace(MACHINE, travel=Travel(height_mm=5.5))
    readings = Readings((_staircase("left", 0.1),))
    forecast = foresee_from_readings(low, readings, Print(), rng=np.random.default_rng(0))
    lift = next(one for one in forecast.remedies if one.id == "lift-every-layer")
    assert lift.job.top_mm <= 5.5
    assert lift.lines
