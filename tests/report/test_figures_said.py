"""What readings say by themselves, as text."""

import pytest

from plumbrise.analyse import CannotTell
from plumbrise.quantity import Measured, Unit
from plumbrise.report import analysis_text
from plumbrise.report.figures_said import (
    cannot_tell_sentence,
    how_measured,
    measured_words,
    run_sentence,
)


@pytest.fixture(scope="module")
def text(session) -> str:
    return analysis_text(session[2])


def test_every_set_up_has_its_block(text, session):
    for run in session[2].runs:
        assert f"{run.run.name}: " in text


def test_every_figure_stands_with_its_uncertainty(text, session):
    for run in session[2].runs:
        for figure in run.figures:
            assert measured_words(figure.value) in text


def test_a_bound_is_told_as_one(session, text):
    assert any(f.at_least for run in session[2].runs for f in run.figures) == ("at least" in text)


def test_every_set_up_says_something_in_a_sentence(session):
    for run in session[2].runs:
        words = run_sentence(run)
        assert words.endswith(".")
        assert words[0].isupper()


def test_small_ratios_are_told_in_per_cent():
    assert measured_words(Measured(-0.0021, 0.0002, Unit.RATIO)).endswith(" %")


def test_what_cannot_be_told_says_why_and_what_would():
    gap = CannotTell("take_up", "Cannot tell yet: it did not settle.", "go on to 4 mm")
    assert cannot_tell_sentence(gap) == (
        "Cannot tell yet, take-up: it did not settle. Go on to 4 mm."
    )


def test_how_it_was_measured_counts_set_ups_and_readings(session):
    machine, readings, analysis = session
    words = how_measured(machine, readings, analysis)
    assert f"{len(readings.runs)} set-ups, {readings.count} readings" in words
    assert "°C" in words
