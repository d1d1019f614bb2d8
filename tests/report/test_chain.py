"""The rows of the load path: what a dimension takes in."""

from plumbrise.drawing import mark
from plumbrise.drawing.tokens import Line
from plumbrise.explain import Explanation, HowKnown, Interval, LinkLoss, Unexplained
from plumbrise.machine import blank
from plumbrise.report.chain import chain

TIED = blank("two-screw-tied")


def loss(link: str, side: str, known=HowKnown.MEASURED) -> LinkLoss:
    return LinkLoss(link, side, {f"gantry-{side}": Interval(0.47, 0.43, 0.51)}, known)


def lost(*links: LinkLoss) -> Explanation:
    return Explanation((), links, (), (), (), Unexplained(0.004, 0.004, "none"), ())


def test_what_the_tie_belt_may_take_is_not_told_as_the_nuts():
    """Paper and drawing alike: the belt stands in the row in which its loss shows."""
    found = lost(loss("nut", "left"), loss("nut", "right"))
    left, right = chain(TIED, found)
    assert (left.title, left.how) == ("Nut", "measured")
    assert right.title == "Nut or tie belt"
    assert right.known is HowKnown.SHARED
    drawn = {row.side: row for row in mark(TIED, None, found, None).rows}
    assert drawn["left"].links == ("nut",)
    assert (drawn["right"].links, drawn["right"].known) == (("nut", "tie"), Line.SHARED)


def test_a_computed_row_with_the_belt_in_it_stays_computed():
    assert chain(TIED, lost(loss("nut", "right", HowKnown.COMPUTED)))[0].how == "computed"


def test_where_the_belt_has_a_row_of_its_own_the_nut_stands_alone():
    found = lost(loss("nut", "right"), loss("tie", "right"))
    assert [row.title for row in chain(TIED, found)] == ["Nut", "Tie belt"]
    assert {row.links for row in mark(TIED, None, found, None).rows} == {("nut",), ("tie",)}


def test_two_screws_with_a_motor_each_have_no_belt_to_name():
    assert chain(blank("two-screw"), lost(loss("nut", "right")))[0].title == "Nut"
