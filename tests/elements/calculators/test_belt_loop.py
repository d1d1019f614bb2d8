"""The sheet of a belt loop."""

import pytest

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet
from plumbrise.errors import InputError


def _pulley(name, x_mm, y_mm, teeth=None, role="screw", **rest):
    return {"name": name, "x_mm": x_mm, "y_mm": y_mm, "teeth": teeth, "role": role, **rest}


LEFT, RIGHT = _pulley("left", 0, 0, 36), _pulley("right", 340, 0, 36)
MOTOR = _pulley("motor", 150, -60, 16, "motor")
ROLLER = _pulley("roller", 200, 5, role="idler", diameter_mm=12, side="outside")


def _worked(*pulleys, **rest):
    return sheet(calculator("belt-loop"), {"pulley": list(pulleys), **rest}).worked


def _said(worked):
    return " ".join(verdict.words for verdict in worked.verdicts)


def test_two_pulleys_by_span_are_the_two_by_place():
    motor_screw = {**LEFT, "role": "motor-screw"}
    by_place = _worked(motor_screw, RIGHT)
    by_span = sheet(calculator("belt-loop"), {"span_mm": 340, "screw_teeth": 36}).worked
    values = [{line.name: line.value for line in made.sums} for made in (by_place, by_span)]
    assert values[0] == pytest.approx(values[1])


def test_a_motor_that_the_belt_brushes_has_too_few_teeth_in_mesh():
    found = _worked(LEFT, MOTOR, RIGHT)
    assert "Fewest teeth in mesh: 1, on motor" in _said(found)
    assert [v.holds for v in found.verdicts if "mesh" in v.words] == [False]


def test_a_roller_is_measured_with_a_caliper_and_the_cord_runs_outside_it():
    thin, thick = (_worked(LEFT, MOTOR, RIGHT, ROLLER, back_mm=back) for back in (0.0, 1.0))
    bare = _worked(LEFT, MOTOR, RIGHT, {**ROLLER, "diameter_mm": 14}, back_mm=0.0)
    assert thick["length_mm"] == pytest.approx(bare["length_mm"])
    assert thick["length_mm"] > thin["length_mm"]
    assert "bends it the other way" in " ".join(thin.warnings)


def test_screws_with_unlike_pulleys_rack_the_beam():
    found = _worked(LEFT, MOTOR, {**RIGHT, "teeth": 40})
    assert "36 and 40 teeth" in _said(found)
    assert not found.verdicts[-1].holds


def test_without_reach_no_stock_length_fits():
    found = _worked(LEFT, MOTOR, RIGHT, moved="motor", reach_mm=0.5, stock=[{"length_mm": 700}])
    assert found.verdicts[0].holds is False
    assert "within the reach of motor" in found.verdicts[0].words
    assert not any(line.name.startswith("shift_") for line in found.sums)


def test_a_weak_screw_end_leaves_no_tension_that_does():
    found = _worked(LEFT, MOTOR, RIGHT, overhang_mm=60, end_diameter_mm=3)
    assert "No tension does" in _said(found)
    assert found["lowest_n"] > found["highest_n"]


def test_the_most_that_the_motor_bears_bounds_the_tension():
    strong, weak = (
        _worked(LEFT, {**MOTOR, "y_mm": -250}, RIGHT, side_load_n=n)["highest_n"] for n in (500, 10)
    )
    assert weak < strong


def test_twice_the_teeth_wind_up_a_quarter():
    small, large = (
        sheet(calculator("belt-loop"), {"screw_teeth": teeth}).worked["left_right_mm"]
        for teeth in (20, 40)
    )
    assert small == pytest.approx(4 * large)


@pytest.mark.parametrize(
    ("pulleys", "words"),
    [
        ((LEFT, RIGHT), "one motor or motor-screw"),
        ((MOTOR, {**LEFT, "role": "motor"}), "one motor or motor-screw"),
        ((LEFT, MOTOR, {**RIGHT, "teeth": None, "diameter_mm": 20}), "call it an idler"),
    ],
)
def test_a_layout_that_drives_nothing_is_refused(pulleys, words):
    with pytest.raises(InputError, match=words):
        _worked(*pulleys)


def test_tension_enough_for_the_torque_is_asked_of_the_belt():
    light, heavy = (
        sheet(calculator("belt-loop"), {"torque_nmm": torque}).worked["lowest_n"]
        for torque in (10, 400)
    )
    assert heavy > light


def test_only_the_torque_of_screws_that_hang_on_the_belt_tightens_it():
    tied = _worked({**LEFT, "role": "motor-screw"}, RIGHT, torque_nmm=400)
    both = _worked(LEFT, {**MOTOR, "y_mm": -150}, RIGHT, torque_nmm=400)
    assert both["lowest_n"] == pytest.approx(2 * tied["lowest_n"])


@pytest.mark.parametrize(("share", "advice"), [(0.8, "tighten"), (1.2, None), (1.9, "slacken")])
def test_a_tone_tells_whether_to_tighten_or_to_slacken(share, advice):
    lowest_hz = sheet(calculator("belt-loop"), {}).worked["lowest_hz"]
    found = sheet(calculator("belt-loop"), {"heard_hz": share * lowest_hz}).worked
    (verdict,) = (v for v in found.verdicts if "it stands at" in v.words)
    assert verdict.holds == (advice is None)
    assert advice is None or advice in verdict.words


def test_a_screw_end_that_stands_out_too_far_is_told_with_how_far_it_may():
    free = _worked({**LEFT, "role": "motor-screw"}, RIGHT, overhang_mm=2)
    furthest = free["furthest_mm"]
    for stands, holds in ((0.98 * furthest, True), (1.02 * furthest, False)):
        found = _worked({**LEFT, "role": "motor-screw"}, RIGHT, overhang_mm=stands)
        told = next(v for v in found.verdicts if "A bearing must hold each screw" in v.words)
        assert told.holds is holds
