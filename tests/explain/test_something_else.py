"""What is in no cause is said to be something else, and only that."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.explain import explain
from plumbrise.readings import Readings


def changed(readings, effect):
    """The same session with `effect(run, told, read, up)` added to every run."""
    runs = []
    for run in readings.runs:
        told = np.array([r.target_mm for r in run.readings])
        read = np.array([r.reading_mm for r in run.readings])
        up = np.array([r.approach == "up" for r in run.readings])
        more = effect(run, told, read, up)
        rows = tuple(
            replace(r, reading_mm=round(r.reading_mm + float(x), 3))
            for r, x in zip(run.readings, more, strict=True)
        )
        runs.append(replace(run, readings=rows))
    return Readings(tuple(runs))


def dial(run, told, read, up):
    return 0.02 * np.sin(2 * np.pi * read)


def teeth(run, told, read, up):
    return 0.015 * np.sin(2 * np.pi * told / 0.7)


def tenth_short(run, told, read, up):
    return -0.1 * read


def rough(run, told, read, up):
    return np.random.default_rng(len(run.name)).normal(0, 0.015, len(told))


def leaning(run, told, read, up):
    place = np.arange(len(told))
    return 0.05 * ((place >= 5) & (place < 10))


@pytest.fixture(scope="module")
def strange(made):
    plan = (*made.GANTRY, made.stairs("coarse-steps", "gantry-left", 1.0, 9))
    session = made.read_off(made.SOUND, plan)
    return lambda effect: made.explained(changed(session, effect))


@pytest.mark.parametrize(
    ("effect", "sign", "size_mm"),
    [
        (dial, "dial turn", 0.02),
        (teeth, "period", 0.015),
        (tenth_short, "scale", 0.1),
        (rough, "scatter", 0.015),
        (leaning, "come and gone", 0.05),
    ],
)
def test_an_effect_of_no_cause_is_told_by_its_shape(strange, effect, sign, size_mm):
    found = strange(effect)
    assert found.unexplained.verdict == "some"
    seen = {one.what: one for one in found.unexplained.signs}
    assert sign in seen
    assert seen[sign].size_mm == pytest.approx(size_mm, rel=0.5)
    assert any("omething else" in doubt for doubt in found.doubts)


def test_the_period_of_teeth_is_found(strange):
    (sign,) = (s for s in strange(teeth).unexplained.signs if s.what == "period")
    assert sign.period_mm == pytest.approx(0.7, rel=0.1)


@pytest.mark.parametrize("session", ["sound", "soft coupling", "racking", "racking, gantry only"])
def test_known_causes_are_no_sign_of_something_else(answer, session):
    left = answer(session).unexplained
    assert left.verdict == "none"
    assert left.signs == ()


def test_too_short_a_table_cannot_tell(made):
    short = made.read_off(made.SOUND, (made.stairs("coarse-steps", "gantry-left", 1.0, 8),))
    found = explain(made.MACHINE, short, rng=np.random.default_rng(0))
    assert found.unexplained.verdict == "cannot tell"
    assert found.unexplained.signs == ()
