"""The figures of a dial without a turns counter: carried on where they can be, else refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import read, values

from plumbrise.errors import InputErrors
from plumbrise.readings import Scale


@given(
    lost_mm=st.floats(0, 0.6),
    step_mm=st.sampled_from([0.05, 0.25, 1.0, 2.0]),
    zero_mm=st.floats(0, 0.999),
)
def test_a_dial_without_turns_counter_is_carried_on_as_the_axis_goes(lost_mm, step_mm, zero_mm):
    told = [i * step_mm for i in range(12)]
    true = [max(0.0, t - lost_mm) for t in told]
    dial = [(t + zero_mm) % 1.0 for t in true]
    rows = "".join(f"{t:.3f},{d!r}\n" for t, d in zip(told, dial, strict=True))
    test = "fine-steps" if step_mm < 0.3 else "coarse-steps"
    run = read("told,read\n" + rows, test=test, scale=Scale(wrap_mm=1.0)).runs[0]
    rise = [r.reading_mm - run.readings[0].reading_mm for r in run.readings]
    assert rise == pytest.approx(true, abs=1e-9)


def test_at_a_station_that_does_not_follow_the_nearest_turn_is_taken():
    rows = "told,read\n10,0.95\n11,0.02\n12,0.05\n11,0.97\n"
    run = read(rows, test="reversal", station="screw", scale=Scale(wrap_mm=1.0)).runs[0]
    assert [r.reading_mm for r in run.readings] == pytest.approx([0.95, 1.02, 1.05, 0.97])


def test_carrying_on_is_said_and_readings_that_went_on_by_themselves_are_left():
    carried = read("0,0\n1,0.8\n2,0.8\n", scale=Scale(wrap_mm=1.0))
    assert any("full turn" in remark for remark in carried.remarks)
    left = read("0,0\n1,0.8\n2,1.8\n", scale=Scale(wrap_mm=1.0))
    assert values(left)[2] == (2, 1.8)


WILD = "told,read\n0,0\n1,65\n2,51\n3,49\n4,48\n"


def test_dial_figures_without_their_turns_are_refused_with_their_rows():
    with pytest.raises(InputErrors) as told:
        read(WILD)
    assert len(told.value.problems) == 1
    assert "rows 3 to 6" in str(told.value)
    assert "65 may mean x.65 mm" in str(told.value)


def test_dial_figures_that_were_kept_are_not_lost():
    assert values(read(WILD, as_written=True))[1] == (1, 65)


@pytest.mark.parametrize("factor", [-1.0, 1 / 25.4, 0.0])
def test_a_gauge_that_counts_down_an_inch_dial_and_an_axis_at_rest_may_be_read(factor):
    rows = "".join(f"{told},{factor * told:.3f}\n" for told in range(20))
    assert read(f"told,read\n{rows}").count == 20
