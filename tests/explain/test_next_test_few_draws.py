"""What few draws, stated probabilities and a gauge that stands already make of the advice."""

from __future__ import annotations

import numpy as np
import pytest

from plumbrise.explain.gain import raked
from plumbrise.explain.meanings import meaning_by_size
from plumbrise.machine import blank
from plumbrise.measure.setups import candidates


def test_raked_draws_hold_every_cause_as_likely_as_stated():
    rng = np.random.default_rng(3)
    there = {c: rng.random(300) < p for c, p in (("racking", 0.9), ("nut-play", 0.3))}
    weight = raked(rng.random(300), there, {"racking": 0.6, "nut-play": 0.45})
    assert weight.sum() == pytest.approx(1)
    assert weight[there["racking"]].sum() == pytest.approx(0.6, abs=0.005)
    assert weight[there["nut-play"]].sum() == pytest.approx(0.45, abs=0.005)
    assert weight.min() > 0


def test_a_test_where_the_gauge_stands_takes_less_time():
    machine = blank("one-screw")
    plain = {(s.kind.id, s.station.id): s.minutes for s in candidates(machine)}
    for setup in candidates(machine, "screw"):
        before = plain[(setup.kind.id, setup.station.id)]
        assert setup.minutes < before if setup.station.id == "screw" else setup.minutes == before
        assert setup.minutes > 0


def test_sizes_that_overlap_are_given_no_meaning():
    rng = np.random.default_rng(0)
    sets = [frozenset({"motor-seat"}), frozenset({"bracket-flex"})]
    said = meaning_by_size(rng.random(100), np.arange(100) % 2, np.full(100, 0.01), sets)
    assert said == ""
