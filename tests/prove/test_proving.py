"""From two sessions to what may be said."""

from dataclasses import replace

import pytest

from plumbrise.explain import Interval
from plumbrise.prove import PrintReading, Verdict, prove, prove_all
from plumbrise.prove.figures import Given
from plumbrise.prove.promises import left, promises
from plumbrise.prove.telling import advice, headline, told_first
from plumbrise.quantity import Measured, Unit
from plumbrise.readings import Readings

STEPS_LEFT = ("coarse-steps", "gantry-left", "lost_motion", "")
SURE = (Verdict.BETTER, Verdict.WORSE)


def only(stage, *kinds):
    """The stage with the runs of these kinds alone."""
    runs = tuple(run for run in stage.readings.runs if run.kind.id in kinds)
    names = {run.name for run in runs}
    analysis = replace(
        stage.analysis,
        runs=tuple(one for one in stage.analysis.runs if one.run.name in names),
        between=tuple(b for b in stage.analysis.between if set(b.runs) <= names),
    )
    return replace(stage, readings=Readings(runs), analysis=analysis)


def test_the_invented_work_made_both_ends_better(before, after):
    proof = prove(before, after)
    ends = [one for one in proof.figures if one.thing == "lost-motion"]
    told = {one.station: one.verdict for one in ends}
    assert told["gantry-left"] is told["gantry-right"] is Verdict.BETTER
    assert not [one for one in proof.figures if one.verdict is Verdict.WORSE]


def test_turned_round_what_was_better_is_worse(before, after):
    there = {(f.thing, f.station, f.kind): f for f in prove(before, after).figures}
    back = {(f.thing, f.station, f.kind): f for f in prove(after, before).figures}
    turned = {Verdict.BETTER: Verdict.WORSE, Verdict.WORSE: Verdict.BETTER}
    assert there.keys() == back.keys()
    for key, one in there.items():
        if one.verdict in SURE:
            assert back[key].verdict is turned[one.verdict]


def test_each_thing_is_judged_once_at_each_place(before, after):
    for proof in (prove(before, after), prove(before, before)):
        places = [(one.thing, one.station) for one in proof.figures if one.kind != "side-push"]
        assert len(places) == len(set(places))


def test_what_gets_no_verdict_is_still_told(before, after):
    proof = prove(before, after)
    judged = {(f.kind, f.station, f.figure, f.detail) for f in proof.figures}
    rest = {(a.kind, a.station, a.figure, a.detail) for a in proof.also}
    assert ("dead-weight", "gantry-left", "compliance", "loading") in rest
    assert not judged & rest


def test_a_loss_that_had_not_settled_is_compared_at_the_same_rise(before, after):
    proof = prove(before, after)
    right = next(
        f for f in proof.figures if (f.thing, f.station) == ("lost-motion", "gantry-right")
    )
    assert (right.figure, right.detail) == ("shortfall", "end")


def test_the_station_of_an_only_screw_is_found_again_where_there_are_two(before, after):
    proof = prove(before, after)
    assert ("fine-steps", "nut-left") in proof.fairness.both
    assert next(one.field for one in proof.machine) == "arrangement"


def test_several_sessions_after_are_minded_together(before, after):
    alone = prove(before, after)
    together = prove_all(before, [after, before, after])
    assert len(together) == 3
    for one, of_three in zip(alone.figures, together[0].figures, strict=True):
        assert of_three.p >= one.p
        assert of_three.could_show >= one.could_show


def test_nothing_in_common_is_said_so(before, after):
    proof = prove(only(before, "hold"), only(after, "reversal"))
    assert proof.figures == ()
    assert "no test in common" in proof.headline


def test_the_end_that_got_worse_stands_beside_the_one_that_got_better(before, after):
    """The left end as it was read, the right end the other way round."""
    figures = prove(before, after).figures
    ends = {f.station: f for f in figures if f.thing == "lost-motion" and "gantry" in f.station}
    right = ends["gantry-right"]
    more = replace(right.change, value=-right.change.value)
    worse = replace(
        right, verdict=Verdict.WORSE, before=right.after, after=right.before, change=more
    )
    said = headline([ends["gantry-left"], worse])
    assert f"now loses {ends['gantry-left'].after}." in said
    assert f"now loses more, {worse.after}." in said


def test_a_sure_end_is_told_before_one_that_seems_to_have_gained_more(before, after):
    figures = prove(before, after).figures
    sure, other = (f for f in figures if f.thing == "lost-motion" and "gantry" in f.station)
    open_one = replace(
        other, verdict=Verdict.CANNOT_TELL, change=replace(other.change, value=-9.0, u=9.0)
    )
    assert told_first([open_one, sure]) is sure


def test_an_end_that_stands_too_high_is_no_less_off_than_one_that_stands_too_low():
    high = {STEPS_LEFT: Given(STEPS_LEFT, Measured(-0.16, 0.005, Unit.MM), ())}
    assert left(high)["gantry-left"].value == 0.16
    assert "more than 0.05 mm" in advice((), left(high))
    promised = {"lost-motion": {"gantry-left": Interval(0.03, 0.01, 0.05)}}
    (one,) = promises(promised, high)
    assert one.kept is False


def test_a_kept_and_a_broken_promise_are_told_apart(before, after):
    promised = {
        "lost-motion": {
            "gantry-left": Interval(0.03, 0.01, 0.05),
            "gantry-right": Interval(0.001, 0.0, 0.002),
        },
        "push": {"axis": Interval(0.02, 0.01, 0.03)},
        "stays-up": {"axis": Interval(5.0, 1.0, 9.0)},
    }
    found = {(p.figure, p.station): p for p in prove(before, after, promised).promises}
    assert found["lost-motion", "gantry-left"].kept is True
    assert found["lost-motion", "gantry-right"].kept is False
    assert found["push", "axis"].kept is True
    assert ("stays-up", "axis") not in found


def test_what_was_promised_and_not_read_is_not_kept(before, after):
    promised = {"lost-motion": {"gantry-left": Interval(0.03, 0.01, 0.05)}}
    (one,) = prove(before, only(after, "hold"), promised).promises
    assert one.came is None
    assert one.kept is None


@pytest.mark.parametrize(
    ("measured", "said"), [(0.19, Verdict.BETTER), (0.06, Verdict.NO_DIFFERENCE)]
)
def test_a_print_joins_as_a_figure(before, after, measured, said):
    def layers(mm):
        return tuple(
            PrintReading("layer 1", "right", 0.2, mm + d) for d in (-0.005, 0.0, 0.004, 0.002)
        )

    proof = prove(
        replace(only(before, "hold"), prints=layers(0.06)),
        replace(only(after, "hold"), prints=layers(measured)),
    )
    assert proof.of("print_off", "right").verdict is said


def test_a_print_that_was_told_another_size_gets_no_verdict(before, after):
    one = PrintReading("wall", "left", 2.0, 1.6)
    two = PrintReading("wall", "left", 3.0, 3.0)
    proof = prove(
        replace(only(before, "hold"), prints=(one,)), replace(only(after, "hold"), prints=(two,))
    )
    assert proof.of("print_off", "left").verdict is Verdict.CANNOT_TELL
