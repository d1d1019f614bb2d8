"""Where the loss went, and what else of the machine changed."""

from dataclasses import replace

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
