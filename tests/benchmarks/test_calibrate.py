"""Fitting the maps from computed to stated."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

import answers
import calibrate

from plumbrise.explain.calibration import Signs, state


def test_without_sessions_that_were_not_learnt_on_there_is_no_cross_check(
    tmp_path, monkeypatch, capsys
):
    monkeypatch.setattr(answers, "CACHE", tmp_path)
    monkeypatch.setattr(calibrate, "RESULTS", tmp_path / "calibration.json")
    monkeypatch.setattr(sys, "argv", ["calibrate.py", "--only-kept"])
    with pytest.raises(SystemExit) as stopped:
        calibrate.main()
    assert stopped.value.code == 2
    assert f"seed {calibrate.scores.SCORE_SEED}" in capsys.readouterr().err
    assert not (tmp_path / "calibration.json").exists()


def test_a_map_learns_that_what_is_computed_is_too_sure():
    """Of those computed at 0.95 half are there: the map must state less than was computed."""
    rows = [("racking", Signs(0.95), number % 2 == 0) for number in range(60)]
    one = calibrate.fitted(rows, 0.97)
    assert 0.4 < state(one, "racking", Signs(0.95)) < 0.6


def test_another_map_is_tried_without_touching_the_one_in_use(tmp_path, monkeypatch):
    monkeypatch.setattr(answers, "CACHE", tmp_path)
    (answer,) = answers.answers([("tilting", "one-screw", "five-minutes", 1)], seed=21)
    before = answers.stated(answer)
    low = calibrate.Map(
        offset=-9.0, odds=1.0, gap=0.0, over=0.0, misfit=0.0, doubt=0.0, most=0.9, of_cause={}
    )
    tried = answers.stated(answer, low)
    assert sum(tried.of[c] for c in answer.seen) < sum(before.of[c] for c in answer.seen)
    assert answers.stated(answer) == before
    kept = json.loads(next(tmp_path.rglob("*.json")).read_text())
    assert kept["said"] == pytest.approx(
        {cause: before.of[cause] for cause in kept["said"]}, abs=1e-4
    )
