"""The answer at a terminal."""

import re
from dataclasses import replace

import pytest

from plumbrise.explain import CauseFinding, Interval, NextTest, Unexplained
from plumbrise.machine import blank
from plumbrise.report import answer_text, headline
from plumbrise.report.amounts import settles_words
from plumbrise.report.answer import cause_lines, group_sentence, left_over_sentence, open_bits

DOUBTED = re.compile(r"\d\.\d\d ± \d\.\d\d|\d\.\d\d to \d\.\d\d|nothing|not told")


@pytest.fixture(scope="module")
def text(session, answer) -> str:
    machine, readings, analysis = session
    return answer_text(machine, readings, analysis, answer)


def block(text: str, title: str) -> list[str]:
    found = next(b for b in text.split("\n\n") if b.startswith(title))
    return found.splitlines()[1:]


def test_the_answer_comes_first(text, session, answer):
    assert headline(*session[:2], session[2], answer) in text.splitlines()[0]


def test_lines_fit_a_terminal(text):
    assert max(map(len, text.splitlines()[1:])) <= 88


def test_every_loss_comes_with_its_give_or_take(text):
    for line in block(text, "What each side loses"):
        assert re.search(r"\d\.\d\d ± \d\.\d\d mm", line)
    for line in block(text, "Along the load path")[1:]:
        assert len(DOUBTED.findall(line)) == 2


def test_links_that_cannot_be_told_apart_share_a_line_with_their_sum(text):
    first = block(text, "Along the load path")[1]
    assert first.split("0.")[0].strip() == "Motor seat or coupling"
    assert first.count("0.19 ± 0.02") == 2


def test_what_no_reading_could_show_is_said_and_not_listed(text):
    causes = " ".join(line.strip() for line in block(text, "Causes"))
    assert "Nothing read could show a frame that gives way." in causes
    assert "11 %" not in causes


def test_causes_stand_with_per_cent(text):
    assert re.search(r"Gantry racks +93 %", text)


def test_the_next_test_says_beforehand_what_readings_would_mean(text):
    lines = "\n".join(block(text, "Next: reversal, gauge on the motor shaft, 6 min"))
    assert "Said beforehand: Over 0.13 mm means the seat." in lines


def test_a_doubt_of_the_answer_is_passed_on(text):
    assert "The mass of the beam was assumed." in text


def test_the_cautions_name_the_hazards_and_defer_to_codes(text):
    assert "hung masses" in " ".join(text.split())
    assert "electrical and safety codes" in " ".join(text.split())


def test_a_name_cannot_move_the_cursor_of_a_terminal(session, answer):
    machine, readings, analysis = session
    named = replace(machine, name="Shed\x1b[2J\r\n\x07printer")
    words = answer_text(named, readings, analysis, answer)
    assert not any(c in words for c in "\x1b\x07\r")


def test_an_answer_without_sides_is_still_an_answer(session, answer):
    bare = replace(answer, sides=(), links=(), groups=(), causes=(), next_tests=())
    words = answer_text(blank("one-screw"), session[1], session[2], bare)
    assert "Cannot tell yet what each side loses" in words


@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("none", "Nothing else is going on."),
        ("some", "Something else is going on, worst at the top."),
        ("cannot tell", "Cannot tell yet whether something else is going on."),
    ],
)
def test_what_is_left_over_is_told_against_reading_scatter(verdict, words):
    told = left_over_sentence(Unexplained(0.0041, 0.0045, verdict, "the top"))
    assert told.startswith("Left over: 4.1 µm")
    assert told.endswith(words)


def test_a_cause_is_told_with_for_against_range_and_remedy(answer):
    lines = cause_lines(answer.causes[0])
    assert "For it: The right side follows late." in lines
    assert "Against it: It was not read twice." in lines
    assert any(re.fullmatch(r"Racking stiffness, right: \d+ to \d+ N/mm\.", x) for x in lines)
    assert lines[-1].startswith("First remedy: ")


def test_a_lead_error_is_told_in_per_cent():
    finding = CauseFinding(
        "lead-error", 0.9, {}, {"lead-error": Interval(0.01, 0.009, 0.011)}, True
    )
    assert any(line.endswith("0.88 to 1.12 %.") for line in cause_lines(finding))


def test_a_group_names_the_reading_that_splits_it(answer):
    words = group_sentence(answer.groups[0])
    assert words.startswith("Cannot tell yet:")
    assert "What splits them: reversal at the motor shaft." in words


def test_with_two_screws_each_row_of_the_chain_names_its_side(session, answer):
    links = answer.links + tuple(
        replace(loss, side="right") for loss in answer.links if loss.link != "racking"
    )
    text = answer_text(*session, replace(answer, links=links))
    titles = [line.split("0.")[0].strip() for line in block(text, "Along the load path")[1:]]
    assert "Bracket, left" in titles
    assert "Bracket, right" in titles
    assert "Racking" in " ".join(titles)


def test_the_test_that_comes_first_is_said_to_settle_no_less_in_as_many_minutes(session, answer):
    first = NextTest("dead-weight", "gantry-right", 0.9, 4, "Masses fix the stiffness")
    other = NextTest("reversal", "gantry-right", 0.5, 4, "It shows play")
    found = replace(answer, next_tests=(first, other))
    text = " ".join(answer_text(*session, found).split())
    worth = [settles_words(each.gain_bits, open_bits(found)) for each in (first, other)]
    assert worth[0] != worth[1]
    assert f"Masses fix the stiffness. It {worth[0]}." in text
    assert f"Or reversal at the right end of the gantry, 4 min: {worth[1]}." in text


@pytest.mark.parametrize(("test", "said"), [("full-travel", True), ("coarse-steps", False)])
def test_a_next_test_beyond_the_gauges_stroke_says_what_to_do_about_it(test, said, session, answer):
    machine, readings, analysis = session
    wide = replace(machine, travel=replace(machine.travel, height_mm=200.0))
    dial = replace(wide, gauge=replace(machine.gauge, range_mm=10.0))
    found = replace(answer, next_tests=(NextTest(test, "gantry-right", 0.9, 4, ""),))
    text = " ".join(answer_text(dial, readings, analysis, found).split())
    assert ("That is more than the gauge's stroke of 10 mm" in text) == said
    assert ("It needs blocks of known thickness for up to" in text) == said
    others = (*answer.next_tests, *found.next_tests)
    second = " ".join(
        answer_text(dial, readings, analysis, replace(found, next_tests=others)).split()
    )
    assert ("; it needs blocks of known thickness for up to" in second) == said
