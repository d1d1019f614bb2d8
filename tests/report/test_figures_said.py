"""What readings say by themselves, as text."""

from dataclasses import replace

import pytest

from plumbrise.analyse import CannotTell, analyse
from plumbrise.drawing import mark
from plumbrise.machine import STATIONS
from plumbrise.quantity import Measured, Unit
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale
from plumbrise.report import analysis_text
from plumbrise.report.figures_said import (
    cannot_tell_sentences,
    how_measured,
    measured_words,
    run_sentence,
    run_title,
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
    assert cannot_tell_sentences([gap, replace(gap, name="shortfall")]) == (
        "Cannot tell yet, take-up and shortfall: it did not settle. Go on to 4 mm.",
    )


def test_one_count_stands_everywhere_and_blanks_are_not_in_it(session):
    machine, readings, _ = session
    run = readings.runs[0]
    blanks = tuple(replace(r, reading_mm=None, torque_nmm=None) for r in run.readings[2:])
    half = replace(run, readings=run.readings[:2] + blanks)
    few = Readings((half,))
    said = analyse(few, Scale())
    assert f"{run_title(said.runs[0])}.".endswith(", 2 readings.")
    assert "2 readings." in how_measured(machine, few, said)
    assert sum(one.readings for one in mark(machine, few, None, said).stations) == 2


def test_how_it_was_measured_counts_set_ups_and_readings(session):
    machine, readings, analysis = session
    words = how_measured(machine, readings, analysis)
    assert f"{len(readings.runs)} set-ups, {readings.count} readings" in words
    assert "°C" in words


def test_set_ups_that_wait_are_named_once_and_not_figure_by_figure(session):
    _, readings, _ = session
    blank = tuple(
        replace(
            run, readings=tuple(replace(r, reading_mm=None, torque_nmm=None) for r in run.readings)
        )
        for run in readings.runs
    )
    text = analysis_text(analyse(Readings((readings.runs[0], *blank[1:])), Scale()))
    waiting = text.partition("Not read yet")[2]
    for run in blank[1:]:
        assert f"{run.name}: " not in text
    assert blank[-1].name in waiting.replace("\n ", "")
    assert "no gauge reading" not in text


@pytest.mark.parametrize("ahead", [0.0, 0.003])
def test_an_axis_that_arrives_in_full_loses_nothing(ahead):
    rows = tuple(
        Reading(seq=i, target_mm=i, reading_mm=i + (ahead if i else 0), approach="up")
        for i in range(9)
    )
    run = Run(name="a", kind=KINDS["coarse-steps"], station=STATIONS["nut"], readings=rows)
    words = run_sentence(analyse(Readings((run,)), Scale()).runs[0])
    assert words.startswith("The nut shows no loss: ")


def test_a_loop_that_is_not_there_is_told_once_for_all_it_was_asked_for():
    def run(name, kind, rows):
        return Run(name=name, kind=KINDS[kind], station=STATIONS["nut"], readings=tuple(rows))

    def steps(name):
        lags = (0, 0.2, *[0.3] * 7)
        return run(
            name,
            "coarse-steps",
            (
                Reading(seq=i, target_mm=i, reading_mm=i - lag, approach="up" if i else "down")
                for i, lag in enumerate(lags)
            ),
        )

    masses = (0, 0.5, 1, 1.5, 1, 0.5, 0)
    weights = run(
        "weights",
        "dead-weight",
        (
            Reading(seq=i, target_mm=5, reading_mm=-0.02 * m, approach="down", mass_kg=m)
            for i, m in enumerate(masses)
        ),
    )
    checks = analyse(Readings((steps("one"), steps("two"), weights)), Scale()).cross_checks
    assert len(checks) == 1
    assert "runs one, two" in checks[0].words
