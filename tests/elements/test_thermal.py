"""Warmth: growth, fixed ends, waiting, and curves fitted to drifts."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import thermal, warm_up
from plumbrise.errors import InputError

WARMING = st.floats(-50, 100)


@given(st.sampled_from(sorted(thermal.EXPANSION_PER_K)), st.floats(0, 2000), WARMING)
def test_cooling_takes_back_what_warming_gave(material, length, warming):
    alpha = thermal.expansion_per_k(material)
    there = thermal.growth_mm(length_mm=length, warming_k=warming, expansion_per_k=alpha)
    back = thermal.growth_mm(length_mm=length, warming_k=-warming, expansion_per_k=alpha)
    assert there == -back


@given(st.floats(1, 2000), WARMING, st.floats(1e-6, 1e-4))
def test_parts_of_one_metal_at_one_warmth_do_not_run_apart(length, warming, alpha):
    found = thermal.apart_mm(
        first_per_k=alpha, second_per_k=alpha, length_mm=length, first_warming_k=warming,
        second_warming_k=warming,
    )  # fmt: skip
    assert found == 0


@given(st.floats(-0.5, 0.5), st.floats(10, 1e4), st.floats(10, 1e4))
def test_a_softer_mount_takes_the_force_off_two_fixed_ends(apart, core, mount):
    bare = thermal.held_at_both_ends_n(apart_mm=apart, stiffnesses_n_per_mm=(core,))
    soft = thermal.held_at_both_ends_n(apart_mm=apart, stiffnesses_n_per_mm=(core, mount))
    assert abs(soft) <= abs(bare) + 1e-12
    assert abs(soft) <= abs(apart) * mount * (1 + 1e-9)


@given(st.floats(1, 500))
def test_the_nut_rises_with_a_fixed_end_below_and_sinks_with_one_above(height):
    up, down = (
        thermal.zero_shift_mm(fixed_below_the_bed=below, height_mm=height, screw_growth_per_mm=1e-4)
        for below in (True, False)
    )
    assert up == -down > 0


@given(st.floats(0.001, 1), st.floats(0.0005, 0.5), st.floats(60, 5000))
def test_after_the_soak_no_more_than_the_allowed_drift_is_to_come(final, allowed, tau):
    wait = thermal.soak_time_s(final_growth_mm=final, allowed_mm=allowed, time_constant_s=tau)
    to_come = final * (1 - thermal.warmed_share(time_s=wait, time_constant_s=tau))
    assert to_come <= allowed * (1 + 1e-9)
    assert (wait > 0) == (final > allowed)


@given(st.floats(0, 5000), st.floats(60, 3000))
def test_drift_is_the_slope_of_the_growth(time, tau):
    def share(at):
        return thermal.warmed_share(time_s=at, time_constant_s=tau)

    slope = (share(time + 0.01) - share(time)) / 0.01
    found = thermal.drift_mm_per_s(final_growth_mm=1, time_s=time, time_constant_s=tau)
    assert found == pytest.approx(slope, rel=1e-3, abs=1e-12)


@given(st.floats(0.01, 1), st.floats(100, 4000))
def test_a_warm_up_without_scatter_is_found_exactly(final, tau):
    times = [tau * share for share in (0.2, 0.5, 0.9, 1.4, 2.0, 3.0)]
    found = warm_up.fit_warm_up(times, [final * (1 - exp(-t / tau)) for t in times])
    assert found.coefficients == pytest.approx((final, 1 / tau), rel=1e-6, abs=0)


def test_a_fit_asks_for_as_many_readings_as_it_needs():
    with pytest.raises(InputError, match="3 or more"):
        warm_up.fit_warm_up([1, 2], [0.1, 0.2])
    with pytest.raises(InputError, match="one length"):
        warm_up.fit_warm_up([1, 2, 3], [0.1, 0.2])
    with pytest.raises(InputError, match="7 values"):
        warm_up.fit_expansion_curve(range(1, 10), range(1, 10), start=(1, 2))


def test_an_unknown_material_is_told_the_known_ones():
    with pytest.raises(InputError, match="aluminium"):
        thermal.expansion_per_k("wood")
