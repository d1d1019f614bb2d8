"""The sheet of a motor."""

import pytest

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet


def _worked(**given):
    return sheet(calculator("motor"), given).worked


def _said(worked):
    return " ".join((*(verdict.words for verdict in worked.verdicts), *worked.warnings))


def test_a_weak_motor_slips_and_says_so():
    found = _worked(holding_nmm=20, lift_nmm=200)
    assert "it slips" in _said(found)
    assert found.verdicts[0].holds is False
    assert not any(line.name == "lost_mm" for line in found.sums)


def test_a_thread_that_holds_by_itself_needs_no_detent():
    found = _worked(back_nmm=0, detent_nmm=0)
    assert "The thread holds by itself" in _said(found)
    assert found["settles_mm"] == 0


def test_a_heavy_gantry_runs_down_when_the_current_goes():
    found = _worked(back_nmm=60, detent_nmm=10)
    assert "With the motor off what it carries runs down." in _said(found)
    assert found.verdicts[-1].holds is False


@pytest.mark.parametrize(("detent", "holds"), [(9, False), (11, False), (40, True)])
def test_a_detent_that_holds_by_a_little_is_too_close_to_tell(detent, holds):
    found = _worked(back_nmm=10, detent_nmm=detent)
    assert ("too close to tell" in found.verdicts[-1].words) is not holds
    assert found.verdicts[-1].holds is holds


def test_without_idle_current_it_runs_down_too():
    found = _worked(back_nmm=60, idle_share=0)
    assert "Idle it runs down." in _said(found)
    assert not any(line.name == "settles_mm" for line in found.sums)


@pytest.mark.parametrize(
    ("sharing", "torque", "quantum"),
    [("series", 1, True), ("parallel", 0.5, True), ("separate", 1, False)],
)
def test_two_motors_share_what_their_wiring_lets_them(sharing, torque, quantum):
    one = _worked()
    two = _worked(motors=2, sharing=sharing)
    assert two["rest_nmm"] == pytest.approx(torque * one["rest_nmm"])
    assert two["each_nmm"] == pytest.approx(one["each_nmm"] / 2)
    assert any(line.name == "apart_mm" for line in two.sums) == quantum


def test_in_series_torque_falls_off_sooner():
    separate, series = (_worked(motors=2, sharing=s)["knee_per_s"] for s in ("separate", "series"))
    assert series < separate


def test_a_reduction_gives_torque_and_costs_speed():
    straight, geared = _worked(), _worked(ratio=0.5)
    assert geared["each_nmm"] == pytest.approx(straight["each_nmm"] / 2)
    assert geared["turns_per_s"] == pytest.approx(2 * straight["turns_per_s"])
    assert geared["step_mm"] == pytest.approx(straight["step_mm"] / 2)


@pytest.mark.parametrize("connection", ["series", "parallel"])
def test_both_halves_of_a_winding_hold_more_at_the_same_heat(connection):
    half, both = _worked(), _worked(connection=connection)
    assert both["rest_nmm"] == pytest.approx(2**0.5 * half["rest_nmm"])
    assert both["loss_w"] == pytest.approx(half["loss_w"])


def test_a_trimmer_is_told_where_its_resistor_is_known():
    assert not any(line.name == "reference_v" for line in _worked().sums)
    found = _worked(sense_ohm=0.1, gain=8)
    assert found["reference_v"] == pytest.approx(0.8 * found["peak_a"])
