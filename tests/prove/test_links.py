"""Where the loss went, and what else of the machine changed."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.explain import Explanation, HowKnown, Interval, LinkLoss, Unexplained
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.prove.links import links_moved, machine_changes


def explained(*losses):
    """An explanation with these links of the left side and what they lose at the left end."""
    links = tuple(
        LinkLoss(link, "left", {"gantry-left": loss}, HowKnown.MEASURED) for link, loss in losses
    )
    return Explanation((), links, (), (), (), Unexplained(0.001, 0.001, "none"), ())


INTERVALS = st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 0.3), st.floats(0.0, 0.3)).map(
    lambda t: Interval(t[0], t[0] - t[1], t[0] + t[2])
)


@given(INTERVALS, INTERVALS)
def test_a_links_change_lies_in_its_interval_and_is_wider_than_either(one, two):
    (moved,) = links_moved(explained(("seat", one)), explained(("seat", two)))
    assert moved.change.low <= moved.change.estimate <= moved.change.high
    widest = max(one.high - one.low, two.high - two.low)
    assert moved.change.high - moved.change.low >= widest / 2 - 1e-9


def shared(*links, together):
    """An explanation in which these links are one dimension, known by its sum alone."""
    made = explained(*((link, Interval(0.1, 0.0, 0.4)) for link in links))
    joined = tuple(
        replace(
            one,
            shared_with=tuple(link for link in links if link != one.link),
            together_mm={"gantry-left": together},
        )
        for one in made.links
    )
    return replace(made, links=joined)


def test_links_that_either_session_cannot_tell_apart_are_told_as_one():
    """Three links in two dimensions that overlap between the sessions: one row, and its loss is
    the sum of the dimensions, not of the shares."""
    was = shared("seat", "coupling", "bracket", together=Interval(0.34, 0.30, 0.38))
    now = explained(
        *((link, Interval(0.01, 0.0, 0.02)) for link in ("seat", "coupling", "bracket"))
    )
    for one, two in ((was, now), (now, was)):
        (moved,) = links_moved(one, two)
        assert (moved.link, moved.shared_with) == ("seat", ("coupling", "bracket"))
        assert {moved.before.estimate, moved.after.estimate} == {0.34, 0.03}
        assert abs(moved.change.estimate) == pytest.approx(0.31)


def test_two_dimensions_that_share_a_link_between_sessions_are_one():
    one = shared("seat", "coupling", together=Interval(0.2, 0.1, 0.3))
    two = shared("coupling", "bracket", together=Interval(0.1, 0.05, 0.15))
    (moved,) = links_moved(one, two)
    assert (moved.link, *moved.shared_with) == ("seat", "coupling", "bracket")


def test_a_link_that_was_taken_out_and_one_that_came_have_no_change():
    loss = Interval(0.2, 0.18, 0.22)
    seat, tie = links_moved(explained(("seat", loss)), explained(("tie", loss)))
    assert (seat.link, seat.after, seat.change) == ("seat", None, None)
    assert (tie.link, tie.before, tie.change) == ("tie", None, None)


def test_without_both_explanations_nothing_is_said_of_links():
    assert links_moved(None, explained(("seat", Interval(0.2, 0.1, 0.3)))) == ()


def test_a_machine_differs_from_itself_in_nothing():
    assert machine_changes(blank("one-screw"), blank("one-screw")) == ()


def test_what_was_given_before_and_is_not_now_is_named():
    machine = blank("one-screw")
    wide = replace(machine, guide=replace(machine.guide, span_mm=340.0))
    (one,) = machine_changes(wide, machine)
    assert (one.field, one.before, one.after) == ("guide.span_mm", "340", "")


def test_another_arrangement_is_told_by_its_title():
    machine = blank("one-screw")
    two = replace(machine, arrangement=ARRANGEMENTS["two-screw"])
    (one,) = machine_changes(machine, two)
    assert (one.field, one.after) == ("arrangement", ARRANGEMENTS["two-screw"].title)
