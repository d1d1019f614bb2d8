"""What an answer leaves open."""

from dataclasses import replace

from plumbrise.machine import ARRANGEMENTS, Trust, blank
from plumbrise.machine.description import Guide
from plumbrise.report.doubts import assumption_lines, assumptions, odd_lines, what_stays_unsure


def test_a_blank_machine_is_all_assumption_weakest_trust_first():
    found = assumptions(blank("one-screw"))
    ranks = [list(Trust).index(each.trust) for each in found]
    assert ranks == sorted(ranks, reverse=True)
    assert all(each.value and each.trust is not Trust.GIVEN for each in found)


def test_what_a_person_gave_is_not_an_assumption():
    given = replace(blank("one-screw"), guide=Guide(span_mm=310.0))
    words = {each.words for each in assumptions(given)}
    assert "span between the guides" not in words
    assert "height of a carriage" in words


def test_only_parts_that_the_machine_has_are_assumed():
    for arrangement in ARRANGEMENTS:
        words = {each.words for each in assumptions(blank(arrangement))}
        assert ("side of the screw" in words) == (arrangement == "one-screw")
        assert not any("pulley" in each for each in words)


def test_a_lead_is_never_assumed():
    assert any("lead is not given" in line for line in assumption_lines(blank("two-screw")))


def test_lengths_are_assumed_with_their_unit():
    assert all(
        each.value.endswith("mm")
        for each in assumptions(blank("one-screw"))
        if each.words.startswith(("span", "height", "travel", "centre"))
    )


def test_open_groups_and_causes_not_looked_for_stay_unsure(answer):
    lines = what_stays_unsure(answer)
    assert any("nothing read so far can split them" in line for line in lines)
    assert any("could show a frame that gives way" in line for line in lines)


def test_odd_things_name_their_set_up(session, answer):
    analysis = session[2]
    names = {run.run.name for run in analysis.runs if run.oddities}
    lines = odd_lines(analysis, answer)
    assert all(any(line.startswith(f"Set-up {name}: ") for line in lines) for name in names)
