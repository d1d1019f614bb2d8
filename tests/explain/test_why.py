"""What is said for and against a cause comes from the readings."""

from __future__ import annotations

import re

import numpy as np
import pytest

from plumbrise.explain import CAUSES


def of(explanation, cause):
    return next(c for c in explanation.causes if c.cause == cause)


def test_a_clear_cause_is_carried_by_what_its_removal_leaves_or_bends(answer):
    found = of(answer("soft coupling"), "coupling-stretch")
    words = " ".join(found.for_it)
    assert "carries it" in words or "would still have to be" in words
    assert "Put back to sound alone" in words


@pytest.mark.parametrize("session", ["sound", "soft coupling", "racking"])
def test_every_reason_holds_a_figure_and_a_unit(answer, session):
    for cause in answer(session).causes:
        if not cause.could_be_seen:
            continue
        for words in (*cause.for_it, *cause.against_it):
            if words != "The readings leave it no size that matters.":
                assert re.search(r"\d ?(mm|N)\b", words), words


@pytest.mark.parametrize("session", ["sound", "soft coupling", "racking"])
def test_no_run_speaks_for_and_against_the_same_cause(answer, session):
    for cause in answer(session).causes:
        for_it = {w for words in cause.for_it for w in re.findall(r"`(.+?)` carries", words)}
        against = {w for words in cause.against_it for w in re.findall(r"`(.+?)` speaks", words)}
        assert not for_it & against


def test_what_a_test_did_not_show_says_what_it_takes(answer):
    unseen = [c for c in answer("sound").causes if not c.could_be_seen]
    assert unseen
    assert all(CAUSES[c.cause].needs in c.against_it[0] for c in unseen)


@pytest.mark.parametrize("session", ["soft coupling", "racking"])
def test_each_set_says_something_of_every_reading(answer, session):
    found = answer(session)
    assert 1 <= len(found.set_fits) <= 6
    for one in found.set_fits:
        assert len(one.computed_mm) == len(one.left_mm) == len(found.fits)
        for computed, fit, left in zip(one.computed_mm, found.fits, one.left_mm, strict=True):
            assert len(computed) == len(fit.read_mm)
            off = (np.array(fit.read_mm) - computed)[np.array(fit.weight) == 1.0]
            assert np.sqrt(np.mean(off**2)) == pytest.approx(left, abs=2e-3)


def test_the_rival_differs_from_the_leading_set_where_it_says(answer):
    found = answer("racking")
    stated = [one.causes for one in found.sets]
    fitted = {one.causes: one for one in found.set_fits}
    leader = fitted[stated[0]]
    assert found.rival is not None
    rival = fitted[found.rival.causes]
    part = [fit.run for fit in found.fits].index(found.rival.run)
    apart = np.abs(np.subtract(rival.computed_mm[part], leader.computed_mm[part]))
    assert apart.max() == pytest.approx(found.rival.apart_mm, abs=1e-6)
    for causes in stated[1 : stated.index(found.rival.causes)]:
        if causes in fitted:
            runs = zip(fitted[causes].computed_mm, leader.computed_mm, strict=True)
            assert max(np.abs(np.subtract(*run)).max() for run in runs) < found.rival.apart_mm
