"""Step motors: steps, microsteps, load angle, windings and circuits.

Mostly closed forms and identities, recomputed; where a book or a data sheet stands behind a value
it is named, and how sure that is.
"""

from math import e, pi

import pytest

from plumbrise.elements import motor, motor_current, motor_speed


def test_MOT_01_hybrid_motor_of_fifty_teeth():
    """Step 1.8°, 200 a turn, cycle of 4 steps 7.2°; Kosow, Electric Machinery and Transformers,
    example 11-3, seen in print, exact."""
    assert motor.full_step_deg(rotor_teeth=50) == 1.8
    assert motor.full_steps_per_turn(rotor_teeth=50) == 200
    assert motor.STEPS_PER_CYCLE * motor.full_step_deg(rotor_teeth=50) == pytest.approx(7.2)


@pytest.mark.parametrize(
    ("microsteps", "per_cent"),
    [(1, 100), (2, 70.71), (4, 38.27), (8, 19.51), (16, 9.80), (32, 4.91), (64, 2.45),
     (128, 1.23), (256, 0.61)],
)  # fmt: skip
def test_MOT_02_torque_of_one_microstep(microsteps, per_cent):
    """sin(90°/n) of the holding torque; small-motor technical note, seen in print, 0.005 %."""
    found = 100 * motor.microstep_torque_share(microsteps=microsteps)
    assert found == pytest.approx(per_cent, abs=0.005)


def test_MOT_03_load_angle():
    """asin(½)/8 = 3.75°; Acarnley, Stepping Motors, static position error, example from memory,
    1e-9."""
    found = motor.load_angle_deg(torque_nmm=50, holding_torque_nmm=100, rotor_teeth=8)
    assert found == pytest.approx(3.75, rel=1e-9)


def test_MOT_04_load_angle_as_height():
    """p 50, T/T_peak 0.05: 0.05732°, 1.2738 µm at lead 8 and 0.3184 at lead 2; same source,
    closed form, 1e-3."""
    torque = {"torque_nmm": 20, "holding_torque_nmm": 400}
    assert motor.load_angle_deg(**torque) == pytest.approx(0.05732, rel=1e-3)
    assert 1000 * motor.load_error_mm(lead_mm=8, **torque) == pytest.approx(1.2738, rel=1e-3)
    assert 1000 * motor.load_error_mm(lead_mm=2, **torque) == pytest.approx(0.3184, rel=1e-3)


def test_MOT_05_largest_error_before_slipping():
    """One full step, 1.8°: 0.040 mm at lead 8; same source, closed form, exact."""
    assert motor.load_angle_deg(torque_nmm=400, holding_torque_nmm=400) == pytest.approx(1.8)
    assert motor.largest_error_mm(lead_mm=8) == pytest.approx(0.040, rel=1e-12)


def test_MOT_06_two_phases_on():
    """√2 of the torque of one phase, half a step away; sum of vectors, exact."""
    found = motor.phases_on(current_a_share=1, current_b_share=1)
    assert found.share == pytest.approx(2**0.5, rel=1e-12)
    assert found.position_steps == pytest.approx(0.5, rel=1e-12)


def test_MOT_07_eight_leads():
    """At the same copper loss series takes 0.7071 and parallel 1.4142 of the unipolar current;
    2R and R/2, 4L and L; winding identities, exact."""
    half = {"half_resistance_ohm": 1, "half_inductance_mh": 1, "half_current_a": 1}
    series = motor_current.joined("series", **half)
    parallel = motor_current.joined("parallel", **half)
    assert (series.resistance_ohm, series.inductance_mh) == (2, 4)
    assert (parallel.resistance_ohm, parallel.inductance_mh) == (0.5, 1)
    assert series.current_a == pytest.approx(0.7071, abs=5e-5)
    assert parallel.current_a == pytest.approx(1.4142, abs=5e-5)


def test_MOT_08_heat_of_a_sine():
    """Peak 1 A: 0.7071 A effective; two phases of 2 Ω: 2.0 W at every angle; identity, exact."""
    assert motor_current.rms_a(peak_a=1) == pytest.approx(0.7071, abs=5e-5)
    assert motor_current.copper_loss_w(peak_a=1, resistance_ohm=2) == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize(("supply_v", "milliseconds"), [(24, 0.1305), (12, 0.2735)])
def test_MOT_09_current_rise(supply_v, milliseconds):
    """3 mH, 2 Ω to 1 A, -(L/R) ln(1 - IR/V), τ 1.5 ms; closed form, 1e-4."""
    found = motor_speed.current_rise_s(
        resistance_ohm=2, inductance_mh=3, supply_v=supply_v, current_a=1
    )
    assert found * 1000 == pytest.approx(milliseconds, abs=1e-4)
    almost = motor_speed.current_rise_s(
        resistance_ohm=2, inductance_mh=3, supply_v=2, current_a=1 - 1 / e
    )
    assert almost * 1000 == pytest.approx(1.5, rel=1e-9)  # 63 % of the last current after τ


def test_MOT_10_speed_where_the_supply_just_drives_the_current():
    """24 V, 2 Ω, 3 mH, 1 A, 50 teeth, back-EMF left out: 7972 rad/s electrical, 25.4 turns/s;
    V² = I²(R² + (ω L)²), closed form, 1e-3. With the EMF it is lower."""
    circuit = {"resistance_ohm": 2, "inductance_mh": 3, "supply_v": 24, "current_a": 1}
    found = motor_speed.knee_turns_per_s(**circuit)
    assert found == pytest.approx(25.4, abs=0.05)
    assert found * 2 * pi * 50 == pytest.approx(7972, rel=1e-3)
    assert motor_speed.knee_turns_per_s(torque_nmm_per_a=283, **circuit) < found


@pytest.mark.parametrize(
    ("lead_mm", "step_um", "cycle_um"), [(2, 10, 40), (4, 20, 80), (8, 40, 160)]
)
def test_MOT_11_full_step_and_cycle_as_height(lead_mm, step_um, cycle_um):
    """Leads 2, 4, 8; arithmetic, exact."""
    step, cycle = (
        motor.height_of_angle_mm(angle_deg=angle, lead_mm=lead_mm) for angle in (1.8, 7.2)
    )
    assert 1000 * step == pytest.approx(step_um, rel=1e-12)
    assert 1000 * cycle == pytest.approx(cycle_um, rel=1e-12)


def test_MOT_12_two_motors_in_parallel():
    """Each gets half of the current and gives half of the torque; Kirchhoff, exact."""
    share = motor_current.SHARINGS["parallel"].current
    assert share == 0.5
    one, half = (
        motor_speed.Winding(
            resistance_ohm=2, inductance_mh=3, rated_current_a=1, holding_torque_nmm=400,
            current_a=current, supply_v=24,
        ).torque_at_rest_nmm
        for current in (1.0, share)
    )  # fmt: skip
    assert half == pytest.approx(one / 2, rel=1e-12)


def test_MOT_13_step_accuracy():
    """±5 % of a step: ±2 µm at lead 8, ±0.5 at lead 2; common data-sheet line, from memory."""
    assert motor.step_error_mm(lead_mm=8) * 1000 == pytest.approx(2, rel=1e-12)
    assert motor.step_error_mm(lead_mm=2) * 1000 == pytest.approx(0.5, rel=1e-12)
