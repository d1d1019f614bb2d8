"""Which runs of a test are compared, and that one end has one figure."""

from dataclasses import replace

from plumbrise.analyse import analyse
from plumbrise.explain import Interval
from plumbrise.prove import compared_runs, prove
from plumbrise.readings import Readings, scale_of
from plumbrise.report.pictures import Pictures
from plumbrise.report.proof_section import Proved, proof_section
from plumbrise.report.proof_words import fair_lines

PROMISED = Interval(0.03, 0.01, 0.05)
COARSE = "coarse-steps gantry-left"


def with_runs(stage, *runs):
    readings = Readings(runs)
    return replace(stage, readings=readings, analysis=analyse(readings, scale_of(stage.machine)))


def broken_off(run, count=4):
    """The run as a worksheet that was left after so many readings."""
    kept = (*run.readings[:count], *(replace(r, reading_mm=None) for r in run.readings[count:]))
    return replace(run, readings=kept)


def coarse_of(stage):
    return next(run for run in stage.readings.runs if run.name == COARSE)


def test_a_run_broken_off_and_done_again_whole_does_not_stand_in_the_way(before, after):
    whole = coarse_of(before)
    again = with_runs(before, broken_off(whole), replace(whole, name="coarse again"))
    for was, now in ((again, after), (with_runs(before, whole), again)):
        proof = prove(was, now)
        assert not [one for one in proof.fairness.differs if one.what == "heights"]
        (put,) = proof.fairness.aside
        assert (put.run, put.counts) == (COARSE, "coarse again")
        assert any(f"the set-up {COARSE} of the session" in said for _, said in
                   fair_lines(proof.fairness))  # fmt: skip
    alone = prove(with_runs(before, whole), after).of("lost_motion", "gantry-left")
    assert prove(again, after).of("lost_motion", "gantry-left").before == alone.before


def test_what_both_sessions_hold_is_compared_though_one_holds_a_longer_one(before):
    whole = coarse_of(before)
    short = with_runs(before, broken_off(whole))
    both = with_runs(before, broken_off(whole), replace(whole, name="whole"))
    _, now, aside = compared_runs(short, both)
    assert [run.name for run in now.readings.runs] == [COARSE]
    assert [(one.when, one.run) for one in aside] == [("after", "whole")]


def test_runs_that_go_equally_far_all_count(before):
    whole = coarse_of(before)
    twice = with_runs(before, whole, replace(whole, name="twice"))
    was, now, aside = compared_runs(twice, twice)
    assert (was, now, aside) == (twice, twice, ())


def test_one_end_has_one_figure_in_headline_promise_remains_and_drawing(before, after):
    """Coarse steps after the work tell what is lost; before it they were broken off, so that the
    fine steps are judged: all that is said of the end is by these."""
    runs = [run for run in before.readings.runs if run.station.id == "gantry-left"]
    fine = with_runs(before, *(run for run in runs if run.kind.id == "fine-steps"))
    promised = {"lost-motion": dict.fromkeys(["gantry-left"], PROMISED)}
    proof = prove(fine, after, promised, target_mm=0.08)
    (told,) = [one for one in proof.figures if one.thing == "lost-motion"]
    assert told.kind == "fine-steps"
    assert proof.remains["gantry-left"].value == abs(told.after.value)
    assert proof.promises[0].came == proof.remains["gantry-left"]
    section = proof_section(Proved(fine, (after,), (proof,)), Pictures(width_px=760))
    assert f"{abs(told.after.value):.2f} ±" in section.now.svg
    assert "0.08 mm" in section.lead
    assert "0.05 mm" not in section.lead + section.left


def test_an_end_that_nobody_read_is_named_and_its_sides_are_not_compared(before, after):
    left = [run for run in after.readings.runs if not run.station.id.endswith("right")]
    proof = prove(before, with_runs(after, *left))
    assert proof.unread == ("gantry-right",)
    assert "The right end was not read." in proof.advice
    assert not [one for one in proof.figures if one.thing == "sides"]
    assert all("gain little" not in said for said in (proof.advice, proof.headline))
