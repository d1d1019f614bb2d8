"""A proposal in words: lines that fit, figures with sensible digits, only what changes told."""

import re
from dataclasses import replace

import pytest

from plumbrise.redesign import CATALOGUE, LOST_MOTION, Target
from plumbrise.report.redesign import WIDTH, proposal_text, thinned


@pytest.fixture(scope="module")
def text(session, proposal) -> str:
    return proposal_text(session[0], proposal)


def test_every_line_fits_a_narrow_terminal(text):
    assert max(map(len, text.splitlines())) <= WIDTH


def test_no_number_is_parted_from_its_unit(text):
    units = {"mm", "mm.", "h", "h.", "h;", "min", "%", "%.", "%;", "days"}
    assert not [line for line in text.splitlines() if units & set(line.split()[:1])]


def test_the_answer_comes_first_with_money_hours_and_probability(text):
    head = " ".join(text.split("What it would give")[0].split())
    assert "Proposed: about 92 EUR (45 to 151), about 7 h. It meets all targets with 81 %" in head
    assert "81 % (73 to 87 %)" in head  # Wilson's interval for 0.81 of 128, by hand
    assert "for at most 120 EUR" in head


def test_losses_carry_give_or_take_and_small_ripples_micrometres(text):
    assert "0.52 ± 0.05" in text
    assert "0.02 to 0.26" in text  # one arm much longer than the other
    assert " µm" in text
    assert "0.038" not in text


def test_a_figure_that_nobody_asked_for_and_that_stays_is_named_and_not_tabled(text):
    assert "Left as it is: range of ten homings." in text
    assert "Range of ten homings" not in text


def test_the_front_says_only_what_is_new_on_each_line(text):
    front = text.split("Cost against result")[1].split("For no money")[0]
    plain = " ".join(front.split())
    assert "only clean and grease the screw, thrust bearing that carries the weight" in plain
    assert plain.endswith("second screw, tied by a belt (proposed)")


def test_parts_are_numbered_and_said_with_what_to_measure_first(text, proposal):
    for number, line in enumerate(proposal.chosen.parts, start=1):
        assert f"{number}. {line.count} x {line.part.name}" in text
    assert "Before ordering, measure:" in text


def test_a_sum_that_could_not_be_worked_says_what_it_needs(text):
    assert "Not worked yet. It needs distance of the screws." in text


def test_a_test_that_pays_is_told_apart_from_one_that_does_not(text):
    plain = " ".join(text.split())
    assert "reversal at the nut (6 min) is worth it" in plain
    assert "hold at the left end of the gantry (9 min) is not worth its minutes" in plain


def test_where_no_test_pays_nothing_is_asked_to_be_read_before_buying(session, proposal):
    idle = replace(proposal, worths=tuple(replace(w, after_time=-1.0) for w in proposal.worths))
    said = " ".join(proposal_text(session[0], idle).split())
    assert "nothing needs to be read first" in said
    assert not re.search("(measure|read) again before", said)
    assert "nothing needs to be read first" not in proposal_text(session[0], proposal)


def test_out_of_reach_says_so_and_what_stands_in_the_way(session, proposal):
    bad = replace(proposal, reachable=False, limited_by="What fails most often is the far end.")
    said = proposal_text(session[0], bad)
    assert "Not reachable as asked. The likeliest set:" in said
    assert "What fails most often is the far end." in said


def test_nothing_told_of_any_target_leaves_no_proposal(session, proposal):
    bare = replace(
        proposal,
        chosen=None,
        untold={LOST_MOTION.id: "no run was read that moves the axis"},
        limited_by="Nothing can be said.",
    )
    said = proposal_text(session[0], bare)
    assert "Cannot tell yet: lost motion after homing, since no run was read" in said
    assert "Proposed" not in said


def test_a_budget_of_nothing_is_a_budget(session, proposal):
    said = " ".join(proposal_text(session[0], replace(proposal, budget=0.0)).split())
    assert "for at most 0 EUR" in said


def test_one_target_is_asked_for_as_one(session, proposal):
    single = replace(proposal, targets=(Target(LOST_MOTION, 0.04),))
    assert "Asked: that with 70 %" in " ".join(proposal_text(session[0], single).split())


def test_control_characters_of_a_name_move_no_cursor(session, proposal):
    machine = replace(session[0], name="Shed\x1b[2Jprinter\nx")
    head = proposal_text(machine, proposal).splitlines()[0]
    assert "\x1b" not in head
    assert "printer x" in head


def test_a_long_front_is_thinned_to_its_ends_and_largest_steps(proposal):
    first, last = proposal.front[0], proposal.front[-1]
    ids = list(CATALOGUE)
    many = [replace(first, changes=(one,), probability=i / 40) for i, one in enumerate(ids)]
    kept = thinned(replace(proposal, front=(first, *many, last)))
    assert kept[0] == first
    assert kept[-1] == last
    assert len(kept) <= 8
