"""Whether other tests at a place say the same, and what is said where they do not."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.analyse import analyse
from plumbrise.prove import Doubt, Other, Verdict, prove
from plumbrise.prove.agreeing import against, doubt_of
from plumbrise.quantity import Measured, Unit
from plumbrise.readings import Readings, scale_of
from plumbrise.report.proof_borne import why_words

COARSE = "coarse-steps gantry-left"
SURE = (Verdict.BETTER, Verdict.WORSE)
CHANGES = st.builds(
    Measured, st.floats(-1.0, 1.0), st.floats(1e-3, 0.1), st.just(Unit.MM), st.floats(2.0, 99.0)
)


def with_runs(stage, *runs):
    """The stage with these runs alone, analysed anew."""
    readings = Readings(runs)
    return replace(stage, readings=readings, analysis=analyse(readings, scale_of(stage.machine)))


def zero_misread(run, mm):
    """The run with its first reading off by so much."""
    first, *rest = run.readings
    return replace(run, readings=(replace(first, reading_mm=first.reading_mm + mm), *rest))


def coarse_of(stage):
    (run,) = [run for run in stage.readings.runs if run.name == COARSE]
    return run


def zero_off(stage, mm):
    """The whole session with the zero of its coarse steps misread."""
    changed = zero_misread(coarse_of(stage), mm)
    return with_runs(
        stage, *(changed if run.name == COARSE else run for run in stage.readings.runs)
    )


@pytest.mark.parametrize("mm", [1.0, 0.4, -0.3])
def test_a_zero_that_was_misread_gives_no_verdict_where_other_tests_were_read(before, mm):
    """Nothing was done to the axis; the coarse steps alone say that it loses another amount."""
    for proof in (prove(zero_off(before, mm), before), prove(before, zero_off(before, mm))):
        told = proof.of("lost_motion", "gantry-left") or proof.of("shortfall", "gantry-left")
        assert told.kind == "coarse-steps"
        assert told.p < 0.05
        assert told.doubt is Doubt.TESTS_DISAGREE
        assert told.verdict is Verdict.CANNOT_TELL
        assert "read them again" in why_words(told)
        assert not [one for one in proof.figures if one.verdict in SURE]


def test_a_doubt_about_what_an_end_loses_is_one_about_the_sides(before):
    (sides,) = [f for f in prove(zero_off(before, 1.0), before).figures if f.thing == "sides"]
    assert sides.doubt is Doubt.TESTS_DISAGREE
    assert sides.verdict is Verdict.CANNOT_TELL


def test_true_work_is_shown_by_the_other_tests_too(before, after):
    told = next(
        f
        for f in prove(before, after).figures
        if (f.thing, f.station) == ("lost-motion", "gantry-left")
    )
    assert told.verdict is Verdict.BETTER
    assert [other.kind for other in told.others if other.shows and other.agrees]
    assert "it too" in why_words(told)


@pytest.mark.parametrize(("mm", "doubt"), [(1.0, Doubt.WHOLE_TURN), (2.0, Doubt.WHOLE_TURN)])
def test_whole_turns_of_the_dial_by_one_run_alone_give_no_verdict(before, mm, doubt):
    run = coarse_of(before)
    (told,) = prove(with_runs(before, zero_misread(run, mm)), with_runs(before, run)).figures
    assert (told.doubt, told.verdict) == (doubt, Verdict.CANNOT_TELL)


def test_so_large_a_change_that_is_no_whole_turn_is_told_with_what_would_bear_it_out(before):
    run = coarse_of(before)
    (told,) = prove(with_runs(before, zero_misread(run, 1.4)), with_runs(before, run)).figures
    assert (told.doubt, told.verdict) == (None, Verdict.BETTER)
    assert "one more would bear it out" in why_words(told)


def test_a_whole_turn_that_two_runs_say_is_told(before):
    run = coarse_of(before)
    twice = [(one, replace(one, name="again")) for one in (zero_misread(run, 1.0), run)]
    was, now = (with_runs(before, *runs) for runs in twice)
    (told,) = prove(was, now).figures
    assert told.runs == (2, 2)
    assert told.verdict is Verdict.BETTER


def test_a_dial_that_turns_once_in_half_a_millimetre_is_asked_by_its_own_turn():
    change = Measured(-0.5, 0.01, Unit.MM, 20.0)
    assert doubt_of(change, (), (1, 1), 1.0) is None
    assert doubt_of(change, (), (1, 1), 0.5) is Doubt.WHOLE_TURN


@given(CHANGES, st.integers(0, 4))
def test_tests_that_say_the_very_same_raise_no_doubt(change, count):
    others = [against(change, Other("reversal", change))] * count
    assert doubt_of(change, others, (2, 2), 1.0) is None


@given(CHANGES, CHANGES)
def test_two_tests_agree_whichever_is_asked_first(one, two):
    assert against(one, Other("", two)).agrees == against(two, Other("", one)).agrees


@pytest.mark.parametrize(
    ("agree", "doubt"),
    [
        ((False,), Doubt.TESTS_DISAGREE),
        ((True, False), None),
        ((False, False), Doubt.TESTS_DISAGREE),
        ((True, False, False), Doubt.TESTS_DISAGREE),
        ((True, True, False), None),
    ],
)
def test_one_test_that_strays_does_not_outvote_two(agree, doubt):
    change = Measured(-0.3, 0.02, Unit.MM, 20.0)
    others = [Other("reversal", change, agrees=yes) for yes in agree]
    assert doubt_of(change, others, (1, 1), 1.0) is doubt
