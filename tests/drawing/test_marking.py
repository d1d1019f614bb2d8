"""A marking holds what readings and explanation say, no more."""

import pytest

from plumbrise.drawing import load_path, mark
from plumbrise.drawing.geometry import View, elevation
from plumbrise.drawing.load_path import _moved
from plumbrise.drawing.marking import assumed_parts
from plumbrise.drawing.tokens import Line
from plumbrise.explain.results import Explanation, HowKnown, Interval, LinkLoss, Side, Unexplained
from plumbrise.machine import blank

STATION = "gantry-left"


def at(estimate, arm=0.01):
    return {STATION: Interval(estimate, estimate - arm, estimate + arm, 0.95)}


def explained(*links):
    return Explanation(
        causes=(),
        links=links,
        sides=(Side(STATION, Interval(0.3, 0.29, 0.31, 0.95), True),),
        sets=(),
        groups=(),
        unexplained=Unexplained(0.004, 0.004, "none"),
        next_tests=(),
    )


def shared(link, estimate, together):
    return LinkLoss(
        link, "left", at(estimate, 0.08), HowKnown.SHARED, ("seat", "coupling"), together
    )


def test_links_that_share_a_dimension_are_written_once_with_their_sum():
    together = at(0.19, 0.02)
    found = mark(
        blank("one-screw"),
        explanation=explained(shared("seat", 0.15, together), shared("coupling", 0.03, together)),
    )
    (row,) = found.rows
    assert row.links == ("seat", "coupling")
    assert row.known is Line.SHARED
    assert row.loss.value == pytest.approx(0.19)
    assert row.loss.half_width == pytest.approx(0.02, rel=1e-6)


def test_a_link_read_at_both_its_ends_stands_alone():
    seat = LinkLoss("seat", "left", at(0.17), HowKnown.MEASURED)
    found = mark(blank("one-screw"), explanation=explained(seat))
    (row,) = found.rows
    assert (row.links, row.known) == (("seat",), Line.MEASURED)


def test_rows_stand_in_the_order_of_the_load_path():
    links = [LinkLoss(n, "left", at(0.1), HowKnown.MEASURED) for n in ("bracket", "nut", "seat")]
    found = mark(blank("one-screw"), explanation=explained(*links))
    assert [row.links for row in found.rows] == [("seat",), ("nut",), ("bracket",)]


def test_a_blank_machine_is_all_assumed():
    parts = assumed_parts(blank("two-screw"))
    assert {"screw", "motor", "beam", "pillars", "base"} <= parts


@pytest.mark.parametrize("arrangement", ["one-screw", "two-screw", "three-screw-bed"])
def test_a_reading_at_the_middle_alone_moves_both_ends(arrangement, marked):
    machine = blank(arrangement)
    marking = marked(machine, "at the middle")
    plan = elevation(machine)
    moved = dict(_moved(plan, marking, View(1.0, 0, 0), 10))
    assert len(set(moved.values())) == 1
    assert min(moved.values()) > 0
    assert "told-place" in load_path(machine, marking)
