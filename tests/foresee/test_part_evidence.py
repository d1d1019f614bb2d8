"""A printed part as a gauge: what it should measure, and what its measures say."""

from types import MappingProxyType

import numpy as np
import pytest

from plumbrise.axis import vector_of
from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee import Print
from plumbrise.foresee.part import STEPS, part_to_print
from plumbrise.foresee.part_evidence import Measured, part_evidence
from plumbrise.machine import blank

HALF = 12


@pytest.fixture(scope="module")
def believed(losing):
    """Half of the axes lose little, half lose much because a guide drags."""
    good = [losing(0.02 + 0.001 * k) for k in range(HALF)]
    bad = [losing(0.20 + 0.01 * k) for k in range(HALF)]
    thetas = np.array([vector_of(axis) for axis in (*good, *bad)])
    return Believed(
        base=good[0],
        thetas=thetas,
        weight=np.full(2 * HALF, 1 / (2 * HALF)),
        terms=MappingProxyType({}),
        takes={"guide-drag": np.arange(2 * HALF) >= HALF},
        keep={"guide-drag": 1.0},
    )


def _rng():
    return np.random.default_rng(0)


def _measured(lost, noise=0.0):
    """The steps of a part from an axis that loses so much, by the closed form."""
    steps = []
    for k, layers in enumerate(STEPS):
        short = 0.0 if layers == 1 else min(lost, 0.2 * (layers - 1))
        steps += [
            Measured(place, layers, 0.2 * layers - short + noise * (-1) ** k)
            for place in (68.0, 272.0)
        ]
    return steps


def test_steps_of_a_bad_part_raise_the_cause_and_those_of_a_good_one_lower_it(believed):
    bad = part_evidence(believed, Print(), _measured(0.25), _rng())
    good = part_evidence(believed, Print(), _measured(0.025), _rng())
    assert bad.before["guide-drag"] == pytest.approx(0.5)
    assert bad.after["guide-drag"] > 0.98
    assert good.after["guide-drag"] < 0.02
    assert {bad.verdict, good.verdict} == {"fits"}


def test_a_bed_off_level_changes_nothing(believed):
    steps = _measured(0.25)
    off = [Measured(one.place_mm, one.layers, one.thickness_mm + 0.03) for one in steps]
    plain = part_evidence(believed, Print(), steps, _rng())
    moved = part_evidence(believed, Print(), off, _rng())
    assert moved.after["guide-drag"] == pytest.approx(plain.after["guide-drag"], abs=0.02)


def test_steps_that_no_axis_prints_leave_the_probabilities_alone(believed):
    odd = part_evidence(believed, Print(), _measured(0.0, noise=0.15), _rng())
    assert odd.verdict == "odd"
    assert odd.after == odd.before


def test_steps_of_one_layer_alone_tell_nothing_of_what_is_lost(believed):
    ones = [one for one in _measured(0.25) if one.layers == 1] * 2
    evidence = part_evidence(believed, Print(), ones, _rng())
    assert evidence.after["guide-drag"] == pytest.approx(0.5, abs=0.1)


def test_two_steps_are_too_few(believed):
    with pytest.raises(InputError, match="three measured steps"):
        part_evidence(believed, Print(), _measured(0.1)[:2], _rng())


def test_the_part_says_what_each_step_should_measure(believed):
    part = part_to_print(blank("two-screw"), believed, Print(), _rng())
    assert {patch.layers for patch in part.patches} == set(STEPS)
    for patch in part.patches:
        low, high = patch.expected_mm.low, patch.expected_mm.high
        assert low <= patch.expected_mm.estimate <= high
        assert patch.by_cause_mm["guide-drag"] <= patch.expected_mm.estimate + 1e-3
        assert patch.told_mm == pytest.approx(0.2 * patch.layers)
