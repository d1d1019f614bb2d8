"""What a pressed link says of its causes."""

from plumbrise.explain import CauseFinding, Explanation, Interval, Unexplained
from plumbrise.machine import blank
from plumbrise.readings import Readings
from plumbrise.web.bench import Story
from plumbrise.web.links import said_of_cause, said_of_link
from plumbrise.web.work import Job

MACHINE = blank("one-screw")


def racking(seen: bool) -> CauseFinding:
    lost = {"gantry-left": Interval(0.1, 0.05, 0.2)}
    return CauseFinding("racking", 0.4, lost, {}, seen)


def story(seen: bool) -> Story:
    none = Unexplained(0.004, 0.004, "none")
    found = Explanation((racking(seen),), (), (), (), (), none, ())
    return Story(1, MACHINE, Readings(()), "", None, Job("a", "explain", (), best=found))


def test_the_chance_of_a_cause_that_nothing_read_could_show_is_no_finding():
    (seen,), (unseen,) = (said_of_link(story(one), "racking").causes for one in (True, False))
    assert (seen.probability, seen.likely) == ("40 %", True)
    assert (unseen.probability, unseen.likely) == ("cannot tell yet", False)
    said = said_of_cause(story(False), racking(False))
    assert "%" not in said.title
    assert said.test
