"""The answer as a title: its number, its doubt, and when it names no cause."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.analyse import analyse
from plumbrise.explain import (
    CAUSES,
    CauseFinding,
    Explanation,
    GroupFinding,
    Interval,
    SetFinding,
    Side,
    Slip,
    Unexplained,
)
from plumbrise.machine import STATIONS, blank
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale
from plumbrise.report import answer_text, headline, summary_paragraph
from plumbrise.report.headline import CAUSE_SENTENCES, sides_sentence
from plumbrise.report.names import CAUSE_PHRASES, lowered

MACHINE = blank("one-screw")
READINGS = Readings(
    (
        Run(
            name="a",
            kind=KINDS["coarse-steps"],
            station=STATIONS["gantry-right"],
            readings=tuple(
                Reading(seq=i, target_mm=i, reading_mm=0.8 * i, approach="up") for i in range(4)
            ),
        ),
    )
)
WITH_DOUBT = re.compile(r"\d\.\d\d ± \d\.\d\d mm|\d\.\d\d to \d\.\d\d mm")


def explained(*causes, groups=(), left=0.23, right=0.32, arm=0.01) -> Explanation:
    sides = tuple(
        Side(station, Interval(lost, lost - arm, lost + arm), measured=True)
        for station, lost in (("gantry-left", left), ("gantry-right", right))
    )
    return Explanation(
        causes=causes,
        links=(),
        sides=sides,
        sets=(),
        groups=groups,
        unexplained=Unexplained(0.004, 0.004, "none"),
        next_tests=(),
    )


def said(causes=(), groups=(), analysis=None, **losses) -> str:
    return headline(MACHINE, READINGS, analysis, explained(*causes, groups=groups, **losses))


def cause(name: str, probability: float, lost: float = 0.19) -> CauseFinding:
    return CauseFinding(
        name, probability, {"gantry-right": Interval(lost, lost - 0.02, lost + 0.02)}, {}, True
    )


@given(st.lists(st.tuples(st.sampled_from(sorted(CAUSES)), st.floats(0, 0.499)), max_size=6))
def test_under_one_half_no_cause_stands_in_the_title(drawn):
    title = said(causes=tuple(cause(name, p) for name, p in drawn))
    assert title == "The right side loses 0.32 ± 0.01 mm; cannot tell yet why"


def far_side_unread(*causes, read=("gantry-right",)):
    found = explained(*causes, left=0.53)
    sides = tuple(replace(side, measured=side.station in read) for side in found.sides)
    return replace(found, sides=sides)


def test_the_figure_of_an_end_not_read_leads_only_where_none_was_and_is_said_to_be_computed():
    takes = {
        "gantry-left": Interval(0.4, 0.3, 0.5),
        "gantry-right": Interval(0.25, 0.23, 0.27),
    }
    drag = CauseFinding("guide-drag", 0.95, takes, {}, True)
    found = far_side_unread(drag)
    title = headline(MACHINE, READINGS, None, found)
    assert title == "Drag in the guides takes 0.25 ± 0.02 mm on the right"
    told = sides_sentence(MACHINE, found)
    assert re.search(r"left side stays [^()]* behind \(computed, not read\) and the right", told)
    assert told.count("computed") == 1
    none_read = headline(MACHINE, READINGS, None, far_side_unread(drag, read=()))
    assert none_read.startswith("Drag in the guides takes 0.4")
    assert none_read.endswith(" on the left, computed, not read")


def test_a_cause_that_nothing_could_show_is_not_among_the_likeliest():
    seen, unseen = cause("guide-drag", 0.4), replace(cause("racking", 0.45), could_be_seen=False)
    told = summary_paragraph(MACHINE, READINGS, None, explained(seen, unseen))
    assert "drag in the guides (40 %)" in told
    assert "racking" not in told


@pytest.mark.parametrize("name", CAUSES)
def test_a_cause_stands_in_the_title_with_what_it_takes_and_flatly_only_where_it_is_sure(name):
    words = CAUSE_SENTENCES[name].split("{}")[0].strip()
    sure, likely = (said(causes=(cause(name, p),)) for p in (0.95, 0.8))
    assert sure.startswith(words)
    assert likely == f"Likely: {lowered(sure)}"
    for title in (sure, likely):
        assert WITH_DOUBT.search(title)
        assert "cannot tell" not in title


def test_a_group_that_readings_do_not_split_is_named_as_one(session, answer):
    machine, readings, analysis = session
    title = headline(machine, readings, analysis, answer)
    assert title.startswith("Seat and coupling together lose 0.19 ± 0.02 mm")


def test_a_nearly_certain_cause_of_a_group_is_named_alone():
    group = GroupFinding(("motor-seat", "coupling-stretch"), 0.99, {}, None)
    title = said(causes=(cause("motor-seat", 0.97),), groups=(group,))
    assert title == "A soft motor seat takes 0.19 ± 0.02 mm"


def test_a_group_under_one_half_is_not_named():
    group = GroupFinding(
        ("motor-seat", "nut-play"), 0.45, {"gantry-right": Interval(0.1, 0.09, 0.11)}, None
    )
    assert "seat" not in said(groups=(group,)).lower()


def test_a_sound_axis_is_told_as_such():
    assert said(left=0.008, right=0.006, arm=0.004) == "Nothing here loses more than 0.02 mm"


def test_a_small_loss_that_may_be_larger_is_not_called_sound():
    assert "cannot tell yet why" in said(left=0.01, right=0.02, arm=0.05)


def test_a_cause_that_takes_nothing_at_the_ends_is_told_beside_the_loss():
    title = said(causes=(cause("home-scatter", 0.9, lost=0.0),))
    assert title.startswith("The right side loses 0.32 ± 0.01 mm; a home that differs is likely")


def test_the_two_largest_takers_stand_in_the_title_and_no_third():
    title = said(
        causes=(cause("motor-seat", 0.95, 0.1), cause("racking", 0.95, 0.3), cause("nut-play", 0.9))
    )
    assert title.startswith("Racking takes 0.30")
    assert "play" in title
    assert "seat" not in title


def test_a_title_has_no_full_stop_and_fits_two_lines(session, answer):
    machine, readings, analysis = session
    title = headline(machine, readings, analysis, answer)
    assert not title.endswith(".")
    assert len(title) < 110


def test_without_sides_the_largest_measured_loss_is_the_answer(session, answer):
    machine, readings, analysis = session
    bare = replace(answer, causes=(), groups=(), sides=())
    assert re.search(r"loses (at least )?\d\.\d+ ± ", headline(machine, readings, analysis, bare))


def test_without_readings_the_title_says_so(answer):
    assert headline(MACHINE, Readings(()), None, answer) == "No readings yet"


def test_a_first_answer_needs_no_analysis(session, answer):
    machine, readings, analysis = session
    assert headline(machine, readings, None, answer) == headline(
        machine, readings, analysis, answer
    )


def test_a_bed_loses_by_its_own_corners(answer):
    side = Side("bed-back", Interval(0.2, 0.19, 0.21), measured=True)
    bare = replace(answer, causes=(), groups=(), sides=(side,))
    title = headline(blank("three-screw-bed"), READINGS, None, bare)
    assert title.startswith("The back of the bed loses 0.20 ± 0.01 mm")


def test_the_paragraph_names_sides_causes_with_per_cent_and_the_next_test(session, answer):
    machine, readings, analysis = session
    words = summary_paragraph(machine, readings, analysis, answer)
    assert "left side stays 0.23 ± 0.01 mm behind" in words
    assert f"{CAUSE_PHRASES['racking']} (93 %)" in words
    assert "nothing read so far can split them" in words
    assert "Next: reversal at the motor shaft, 6 min" in words


WILD = Run(
    name="a",
    kind=KINDS["coarse-steps"],
    station=STATIONS["gantry-left"],
    readings=tuple(
        Reading(seq=i, target_mm=i, reading_mm=v, approach="up" if i else "down")
        for i, v in enumerate([0, 65, 51, 49, 48])
    ),
)


def test_readings_that_no_axis_gives_are_told_before_any_answer():
    analysis = analyse(Readings((WILD,)), Scale())
    title = said(causes=(cause("coupling-slip", 0.64),), analysis=analysis)
    assert title.startswith("Cannot tell yet: readings 2 to 5 of set-up a stand 44 to 64 mm")


def test_an_answer_from_readings_that_no_axis_gives_names_no_cause():
    readings = Readings((WILD,))
    analysis = analyse(readings, Scale())
    text = answer_text(MACHINE, readings, analysis, explained(cause("coupling-slip", 0.64)))
    assert "65 may mean x.65 mm" in text.replace("\n", " ")
    assert "64 %" not in text
    assert "sound" not in text


def test_no_axis_is_sound_whose_readings_were_mostly_set_aside():
    slips = tuple(Slip("a", i, "1.80 mm off its run; set aside.") for i in (0, 2, 3))
    found = replace(explained(), slips=slips, sets=(SetFinding((), 0.9),))
    title = headline(MACHINE, READINGS, None, found)
    assert title.startswith("Cannot tell yet: 3 of 4 readings")
    assert "readings 1, 3 and 4 of set-up a" in summary_paragraph(MACHINE, READINGS, None, found)
    one = replace(found, slips=slips[:1])
    assert not headline(MACHINE, READINGS, None, one).startswith("Cannot tell yet: ")
