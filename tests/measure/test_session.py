"""A capture session: what comes next, what two figures stand for, and taking everything back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS
from plumbrise.measure.acts import Did
from plumbrise.measure.at_hand import AtHand
from plumbrise.measure.dial import Expected, heard
from plumbrise.measure.session import Session
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS, DEAD_WEIGHT, REVERSAL


def staircase(count=5, name="stairs"):
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(count)
    )
    return Run(name=name, kind=COARSE_STEPS, station=STATIONS["gantry-left"], readings=rows)


def there_and_back():
    told = [(10.0, "up"), (11.0, "up"), (10.0, "down"), (10.0, "up"), (11.0, "up")]
    rows = tuple(
        Reading(seq=i, target_mm=t, reading_mm=None, approach=a) for i, (t, a) in enumerate(told)
    )
    return Run(name="back", kind=REVERSAL, station=STATIONS["nut"], readings=rows)


def session(*runs):
    return Session(runs or (staircase(), there_and_back()))


@given(st.integers(0, 99), st.floats(-40, 40))
def test_two_figures_land_within_half_a_turn_of_what_is_expected(figures, middle):
    found = heard(f"{figures:02d}", expected=Expected(middle, 0.3)).value_mm
    assert abs(found - middle) <= 0.5 + 1e-6
    assert round(found * 100) % 100 == figures


@pytest.mark.parametrize("text", ["12,64", "12.64", " 12.64 mm", "+12.64"])
def test_a_whole_value_is_taken_as_it_stands(text):
    assert heard(text, expected=Expected(3.0, 0.3)).value_mm == 12.64


def test_a_fine_gauge_gives_three_figures_and_its_own_turn():
    found = heard("164", expected=Expected(0.4, 0.1), resolution_mm=0.001, turn_mm=0.2)
    assert found.value_mm == pytest.approx(0.364)


def test_inches_become_millimetres():
    assert heard("0.100", expected=None, inches=True).value_mm == pytest.approx(2.54)


@pytest.mark.parametrize(
    "text", ["", "abc", "1.2.3", "1e5", "nan", "0x10", "٣", "12 34 x", "9999.9"]
)
def test_what_is_no_reading_is_refused_with_what_may_be_typed(text):
    with pytest.raises(InputError):
        heard(text, expected=None)


def test_targets_come_in_the_order_of_the_plan_and_begin_with_setting_up():
    now = session()
    assert (now.asks.run, now.asks.reading, now.asks.begins) == (0, 0, True)
    now = now.keep("0")
    assert (now.asks.reading, now.asks.begins) == (1, False)
    for text in ("0.62", "1.61", "2.63", "3.6"):
        now = now.keep(text)
    assert (now.asks.run, now.asks.begins, now.left) == (1, True, 5)


def test_what_is_expected_follows_the_told_way_and_what_was_read_at_this_height():
    now = session(there_and_back()).keep("0").keep("0.98")
    assert now.asks.expected.far_off_mm(0.4) == 0.0  # it has just turned and may lag
    now = now.keep("0.4")
    assert now.asks.expected.middle_mm == 0.0  # read before, going up
    now = now.keep("0.0")
    assert now.asks.expected.middle_mm == 0.98


def test_a_suspicious_value_is_asked_about_and_never_refused():
    now = session().keep("0")
    assert not now.hear("0.3").words  # the first step after a home may lose most of itself
    asked = now.hear("2.7")
    assert "Keep it, or read again?" in asked.words
    assert now.keep("2.7").runs[0].readings[1].reading_mm == 2.7


acts = st.lists(
    st.sampled_from(["keep", "cannot", "note", "skip", "repeat", "mend", "interrupt"]), max_size=14
)


def done(now, act):
    try:
        return {
            "keep": lambda: now.keep("1.25", time_s=3.0),
            "cannot": now.cannot_read,
            "note": lambda: now.note("a lorry"),
            "skip": now.skip,
            "repeat": now.repeat,
            "mend": lambda: now.mend(0, 0, "0.5"),
            "interrupt": lambda: now.interrupted("alarm"),
        }[act]()
    except InputError:
        return now


@given(acts)
def test_taking_everything_back_leads_to_the_start_by_the_same_steps(many):
    states = [session()]
    for act in many:
        following = done(states[-1], act)
        if following is not states[-1]:
            states.append(following)
    now = states[-1]
    for before in reversed(states[:-1]):
        now, taken_back = now.undo()
        assert taken_back is not None
        assert now == before
        assert now.asks == before.asks
    assert now.undo() == (now, None)


@given(acts)
def test_no_reading_is_lost_and_none_is_asked_twice(many):
    now = session()
    kept = 0
    for act in many:
        following = done(now, act)
        kept += act == "keep" and following is not now
        now = following
    assert sum(r.time_s == 3.0 for run in now.runs for r in run.readings) == kept
    asked = set()
    while (asks := now.asks) is not None:
        assert (asks.run, asks.reading) not in asked
        asked.add((asks.run, asks.reading))
        now = now.cannot_read()
    assert now.left == 0
    names = [run.name for run in now.runs]
    assert len(set(names)) == len(names)


def test_a_run_broken_off_by_the_machine_is_kept_marked_and_asked_for_again():
    now = session().keep("0").keep("0.6").interrupted("the controller reported an alarm")
    assert now.runs[0].taken[1].reading_mm == 0.6
    assert now.runs[0].readings[2].note == "the controller reported an alarm"
    assert (now.asks.run, now.asks.reading, now.asks.begins) == (1, 0, True)
    assert now.runs[1].name == "stairs again 1"
    assert not now.runs[1].taken


def test_a_mended_reading_keeps_its_time():
    now = session().keep("0", time_s=1.0).keep("0.9", time_s=5.0).mend(0, 1, "0.6")
    row = now.runs[0].readings[1]
    assert (row.reading_mm, row.time_s) == (0.6, 5.0)
    with pytest.raises(InputError):
        now.mend(0, 3, "0.6")


def test_notes_stand_at_the_reading_before_and_add_up():
    now = session().keep("0").note("door").note("again")
    assert now.runs[0].readings[0].note == "door; again"
    with pytest.raises(InputError):
        session().note("too early")
    with pytest.raises(InputError):
        now.note("x" * 600)


def test_nothing_more_can_be_kept_when_all_is_done():
    now = session(staircase(1)).keep("0")
    assert now.asks is None
    with pytest.raises(InputError, match="all set-ups are done"):
        now.keep("1")


def test_masses_expect_the_last_reading_whatever_hangs():
    rows = tuple(
        Reading(seq=i, target_mm=20.0, reading_mm=None, approach="up", mass_kg=m)
        for i, m in enumerate((0.0, 0.5, 1.0))
    )
    run = Run(name="m", kind=DEAD_WEIGHT, station=STATIONS["gantry-left"], readings=rows)
    now = session(run).keep("0").keep("-0.2")
    assert now.asks.expected.middle_mm == -0.2


def test_the_table_holds_what_was_read_and_leaves_blanks_blank():
    now = session().keep("0").cannot_read().keep("1.6").skip()
    table = now.readings
    assert [run.name for run in table.runs] == ["stairs"]
    assert [r.reading_mm for r in table.runs[0].readings[:3]] == [0.0, None, 1.6]
    assert now.acts[-1].did is Did.SKIPPED
    assert replace(now, acts=()).asks == session().asks


@given(st.integers(-4000, 4000), st.floats(-0.4, 0.4))
def test_a_dial_that_counts_down_says_the_same_as_one_that_counts_up(hundredths, off):
    """Two dials at one tip, one the other way round: the same travel, positive upwards."""
    travel = hundredths / 100
    about = Expected(travel + off, 0.3)
    up = heard(f"{hundredths % 100:02d}", expected=about)
    down = heard(f"{-hundredths % 100:02d}", expected=about, counts_down=True)
    assert up.value_mm == pytest.approx(travel)
    assert down.value_mm == pytest.approx(travel)


def test_only_the_run_that_was_named_counts_down():
    turned = session().counting(0, down=True)
    assert turned.keep("-0,62").runs[0].readings[0].reading_mm == 0.62
    assert turned.skip().keep("0,62").runs[1].readings[0].reading_mm == 0.62
    assert turned.counting(0, down=False) == session()
    assert (turned.upwards(0, 0.5), turned.upwards(1, 0.5)) == (-0.5, 0.5)


def test_the_gauge_at_hand_counts_in_its_own_steps():
    fine = replace(session(), at_hand=AtHand(resolution_mm=0.001), turn_mm=1.0)
    assert fine.step_mm == 0.001
    assert fine.keep("0.641").runs[0].readings[0].reading_mm == 0.641


def test_more_than_the_stroke_apart_is_asked_about():
    short = replace(session(), at_hand=AtHand(stroke_mm=3.0))
    for value in ("0", "0.8", "1.8", "2.8"):
        short = short.keep(value)
    assert "the plunger goes 3 mm" in short.hear("3.8").words
    assert "plunger" not in replace(short, at_hand=AtHand(stroke_mm=5.0)).hear("3.8").words
