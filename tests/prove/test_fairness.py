"""Whether two sessions were taken alike."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.prove import Verdict, prove
from plumbrise.prove.fairness import extra_u_mm, fairness
from plumbrise.prove.gauges import longest_way_mm
from plumbrise.prove.results import Fairness, Unfair
from plumbrise.readings import Readings

END = "fine-steps gantry-left"


def changed(stage, change, name=END):
    """The stage with one run's readings changed, its figures as they were."""
    runs = tuple(change(run) if run.name == name else run for run in stage.readings.runs)
    return replace(stage, readings=Readings(runs))


def each(run, **values):
    return replace(run, readings=tuple(replace(r, **values) for r in run.readings))


def test_a_session_is_fair_to_itself(before):
    found = fairness(before, before)
    assert found.differs == ()
    assert found.only_before == found.only_after == ()
    assert "approaches" in found.same


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (lambda run: replace(run, axis="down"), "direction"),
        (lambda run: replace(run, stand_on="bench"), "stand"),
        (lambda run: each(run, approach="up"), "approach"),
        (
            lambda run: replace(
                run, readings=tuple(replace(r, target_mm=2 * r.target_mm) for r in run.readings)
            ),
            "heights",
        ),
    ],
)
def test_what_makes_two_tests_unlike_stops_their_verdicts(before, after, change, what):
    found = fairness(before, changed(after, change))
    unlike = [one for one in found.differs if one.what == what]
    assert unlike
    assert all(one.stops for one in unlike)
    assert ("fine-steps", "gantry-left") in unlike[0].runs


def test_a_stand_that_nobody_wrote_down_is_not_told_as_the_same(before, after):
    unsaid = changed(after, lambda run: replace(run, stand_on=""))
    assert "what the stand stood on" in fairness(before, after).same
    found = fairness(before, unsaid)
    assert "what the stand stood on" not in found.same
    assert not [one for one in found.differs if one.what == "stand"]
    bench = changed(before, lambda run: replace(run, stand_on="bench"))
    (unlike,) = [one for one in fairness(bench, unsaid).differs if one.what == "stand"]
    assert (unlike.before, unlike.after, unlike.stops) == ("bench", "not written", True)


def test_a_run_taken_twice_is_looked_at_both_times(before):
    """What it says goes into the mean as well as the first."""
    (first,) = [run for run in before.readings.runs if run.name == END]
    again = replace(first, name="again", stand_on="bench")
    twice = replace(before, readings=Readings((*before.readings.runs, again)))
    for found in (fairness(before, twice), fairness(twice, before)):
        (unlike,) = [one for one in found.differs if one.what == "stand"]
        assert unlike.stops
        assert unlike.runs == (("fine-steps", "gantry-left"),)
    assert fairness(twice, twice).differs == ()


def test_a_gauge_that_was_zeroed_elsewhere_is_bounded_by_the_way_it_went(before):
    moved = Readings(
        tuple(
            replace(
                run,
                readings=tuple(
                    replace(r, reading_mm=None if r.reading_mm is None else r.reading_mm + 50)
                    for r in run.readings
                ),
            )
            for run in before.readings.runs
        )
    )
    assert longest_way_mm(replace(before, readings=moved)) == pytest.approx(longest_way_mm(before))


def test_no_figure_of_a_stopped_test_gets_a_verdict(before, after):
    moved = changed(after, lambda run: replace(run, stand_on="bench"), "coarse-steps gantry-left")
    proof = prove(before, moved)
    touched = [f for f in proof.figures if f.kind == "coarse-steps" and f.station != "gantry-right"]
    assert {f.station for f in touched} == {"gantry-left", "axis"}
    assert {f.verdict for f in touched} == {Verdict.CANNOT_TELL}


def test_warmth_is_bounded_by_what_steel_and_aluminium_grow_apart(before):
    warm = changed(before, lambda run: each(run, temp_c=31.0))
    cold = changed(before, lambda run: each(run, temp_c=21.0))
    (one,) = fairness(cold, warm).differs
    highest = max(r.target_mm for run in before.readings.runs if run.name == END for r in run.taken)
    assert one.what == "temperature"
    assert one.effect_mm == pytest.approx(11e-6 * 10 * highest, abs=1e-4)


def test_another_time_to_warm_up_is_listed_and_not_bounded(before):
    late = changed(before, lambda run: each(run, time_s=9000.0))
    (one,) = fairness(before, late).differs
    assert (one.what, one.effect_mm, one.stops) == ("warm-up", None, False)


def test_a_column_of_ones_own_that_differs_is_listed(before):
    slow = changed(before, lambda run: each(run, other=(("feed", "300"),)))
    fast = changed(before, lambda run: each(run, other=(("feed", "900"),)))
    (one,) = fairness(slow, fast).differs
    assert (one.what, one.before, one.after) == ("feed", "300", "900")


def test_another_gauge_counts_for_a_step(before):
    coarse = replace(before.machine, gauge=replace(before.machine.gauge, resolution_mm=0.01))
    found = fairness(before, replace(before, machine=coarse)).differs
    assert [(one.what, one.effect_mm) for one in found] == [("gauge", 0.01)]


def rounded_to(stage, mm):
    """The stage with all readings in such steps, its figures as they were."""
    runs = tuple(
        replace(
            run,
            readings=tuple(
                r if r.reading_mm is None else replace(r, reading_mm=mm * round(r.reading_mm / mm))
                for r in run.readings
            ),
        )
        for run in stage.readings.runs
    )
    return replace(stage, readings=Readings(runs))


@pytest.mark.parametrize("steps", [2, 5, 10])
def test_readings_in_coarser_steps_than_the_gauges_count_for_a_step(before, steps):
    mm = steps * before.machine.gauge.resolution_mm
    for proof in (
        fairness(rounded_to(before, mm), before),
        fairness(rounded_to(before, mm), rounded_to(before, mm)),
    ):
        (one,) = proof.differs
        assert one.what == "rounding"
        assert one.effect_mm == pytest.approx(mm)
        assert extra_u_mm(proof, ("fine-steps", "gantry-left")) == pytest.approx(mm / 3**0.5)


@given(st.lists(st.floats(0.0, 0.5), max_size=6))
def test_bounds_add_as_rectangles(bounds):
    test = ("fine-steps", "gantry-left")
    unlike = tuple(Unfair("x", "", "", "", bound, (test,)) for bound in bounds)
    found = Fairness((test,), (), (), unlike)
    assert extra_u_mm(found, test) ** 2 == pytest.approx(sum(b**2 for b in bounds) / 3)
    assert extra_u_mm(found, ("hold", "gantry-left")) == 0.0


def test_another_gauge_does_nothing_to_a_print():
    unlike = (Unfair("gauge", "", "", "", 0.01),)
    found = Fairness((), (), (), unlike)
    assert extra_u_mm(found, ("print", "left")) == 0.0
    assert extra_u_mm(found, ("fine-steps", "gantry-left")) > 0
