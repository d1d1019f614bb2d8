"""A proof in words, and as a page."""

import json
import re
from base64 import b64decode

import pytest

from plumbrise.api import prove, stage
from plumbrise.demo import scenario
from plumbrise.files import read_machine, read_readings
from plumbrise.files.results import schema
from plumbrise.prove import Verdict
from plumbrise.prove.proving import _onward
from plumbrise.quantity import Measured, Unit
from plumbrise.readings import scale_of
from plumbrise.report.proof import WIDTH, proof_text
from plumbrise.report.proof_section import below, chart_rows
from plumbrise.report.proof_words import fair_lines, shown_words


@pytest.fixture(scope="module")
def stages(after_the_work):
    example = scenario()
    return (
        stage("before", example.machine, example.readings),
        stage("after", *after_the_work),
    )


@pytest.fixture(scope="module")
def answer(stages):
    return prove(*stages)


def test_the_text_fits_a_narrow_terminal(answer):
    for whole in (False, True):
        lines = proof_text(answer.result[0], whole=whole).splitlines()
        assert max(map(len, lines)) <= WIDTH
        assert not [line for line in lines if line != line.rstrip()]


def test_the_text_says_fair_before_it_says_better(answer):
    text = str(answer)
    assert text.index("done both times") < text.index("\nBetter\n")


def test_a_change_that_was_not_shown_says_what_would_have_been(answer):
    for one in answer.result[0].figures:
        if one.verdict is Verdict.CANNOT_TELL:
            few = one.thing == "home"  # ten homings, beside so many other figures
            assert ("so few readings" if few else "only a change") in shown_words(one)
        if one.verdict is Verdict.NO_DIFFERENCE:
            assert shown_words(one).startswith("a change of")


def test_what_was_alike_and_what_was_not_have_their_words(answer):
    marks = [mark for mark, _ in fair_lines(answer.result[0].fairness)]
    assert set(marks) <= {"same", "close", "look"}


def test_json_meets_its_schema(answer):
    from jsonschema import validate

    validate(json.loads(json.dumps(answer.to_dict(), allow_nan=False)), schema("proof"))


def test_the_chance_of_being_under_a_limit_grows_with_the_limit():
    value = Measured(0.04, 0.01, Unit.MM, 9.0)
    assert below(value, 0.04) == pytest.approx(0.5)
    assert below(value, 0.03) < 0.5 < below(value, 0.05)


def test_the_chart_begins_with_the_ends_and_never_goes_below_nothing(answer):
    rows = chart_rows(answer.result[0])
    assert [row.name.split(", ")[-1] for row in rows[:2]] == ["left", "right"]
    assert all(0 <= row.after.low <= row.after.value <= row.after.high for row in rows)


def test_the_story_stands_alone(answer):
    page = answer.story(when="2026-01-31")
    assert not re.findall(r"""(?:src|href)=["'](?!data:|#)""", page)
    assert "url(http" not in page
    assert "<script" not in page
    assert "2026-01-31" in page


def test_the_story_holds_the_data_word_for_word(answer, stages):
    page = answer.story(when="2026-01-31")
    held = {
        name: b64decode(data).decode()
        for name, data in re.findall(r'download="([^"]+)" href="data:[^,]+,([^"]+)"', page)
    }
    machine = read_machine(held["after-machine.toml"], name="machine")
    assert machine == stages[1].machine
    again = read_readings(
        held["before-readings.csv"].encode(), name="readings", scale=scale_of(stages[0].machine)
    )
    assert again.count == stages[0].readings.count
    assert json.loads(held["proof.json"]) == json.loads(json.dumps(answer.to_dict()))


def test_both_drawings_share_one_factor(answer):
    page = answer.story(when="2026-01-31")
    assert len(set(re.findall(r"drawn ×(\d+)", page))) == 1


def test_a_machines_name_cannot_put_markup_into_the_story(stages):
    from dataclasses import replace

    before, after = stages
    named = replace(after, machine=replace(after.machine, name="<b>x</b>", note="<i>y</i>"))
    page = prove(before, named).story(when="2026-01-31")
    assert "<b>x</b>" not in page
    assert "<i>y</i>" not in page


def test_the_set_that_comes_next_costs_what_the_proposal_says_it_costs(proposal):
    found, line = _onward(proposal), proposal.chosen.line
    assert (found.cost, found.hours) == (line.cost.expected, line.hours.expected)
