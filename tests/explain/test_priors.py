"""What is believed before anything is read."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats, sampled_from

from plumbrise.axis import layout_of, prepare, sound, vector_of
from plumbrise.explain import CAUSES
from plumbrise.explain.causes_seen import depth_of, seen_causes
from plumbrise.explain.priors import LINEAR, PRIORS, Scale, back, onto
from plumbrise.explain.search import CURVED
from plumbrise.explain.space import space_of
from plumbrise.machine import ARRANGEMENTS, PerSide, blank
from plumbrise.machine import description as part
from plumbrise.readings import Readings


def test_every_cause_has_a_prior_and_says_what_it_needs():
    weighed = set(CURVED) | {prior.cause for prior in LINEAR.values()} | {"lost-steps"}
    assert weighed == set(CAUSES)
    assert all(cause.needs for cause in CAUSES.values())


@pytest.mark.parametrize("prior", PRIORS.values(), ids=lambda prior: prior.name)
def test_every_prior_belongs_to_a_quantity_of_the_axis_model(prior):
    names = {
        name.split(":")[0]
        for arrangement in ARRANGEMENTS
        for name in layout_of(sound(blank(arrangement))).names
    }
    assert prior.name in names


@pytest.mark.parametrize(
    "prior", [p for p in PRIORS.values() if p.worse and p.sound], ids=lambda p: p.name
)
def test_faulty_is_worse_than_sound_and_open_lies_between(prior):
    sound_at, faulty_at = prior.sound[0], prior.faulty[0]
    assert (faulty_at - sound_at) * prior.worse > 0


@given(scale=sampled_from(list(Scale)), value=floats(0.01, 0.99))
def test_a_value_comes_back_from_its_scale(scale, value):
    assert back(scale, onto(scale, value)) == pytest.approx(value)


def space_and_session(made, machine):
    session = prepare(machine, Readings(made.EVENING))
    return space_of(machine, session), session


def test_a_given_stiffness_replaces_its_prior(made):
    coupling = part.Coupling(axial_stiffness_n_per_mm=77.0)
    machine = replace(made.MACHINE, coupling=PerSide(coupling))
    space, _ = space_and_session(made, machine)
    at = next(i for i, e in enumerate(space.entries) if e.quantity == "coupling_stiffness_n_per_mm")
    for causes in (frozenset(), frozenset({"coupling-stretch"})):
        belief = space.belief(causes)
        assert np.exp(belief.middle[at]) == pytest.approx(77.0)
        assert belief.spread[at] < 0.3


def test_without_its_cause_a_tight_spot_is_absent_from_the_axis(made):
    space, session = space_and_session(made, made.MACHINE)
    strength = session.layout.index("spot_strength")
    without, there = space.belief(frozenset()), space.belief(frozenset({"tight-spot"}))
    assert space.thetas(without, without.middle)[0, strength] == 0
    assert space.thetas(there, there.middle)[0, strength] > 0


def test_putting_a_cause_back_to_sound_never_makes_the_axis_worse(made):
    space, session = space_and_session(made, made.MACHINE)
    theta = vector_of(session.base)[None, :]
    stiff = theta.copy()
    at = session.layout.index("coupling_stiffness_n_per_mm:left")
    stiff[0, at] = 5000.0
    assert space.healthy("coupling-stretch", stiff)[0, at] == 5000.0
    stiff[0, at] = 20.0
    assert space.healthy("coupling-stretch", stiff)[0, at] > 20.0


def test_an_evening_without_the_far_side_cannot_show_racking(made):
    near = tuple(run for run in made.EVENING if run.station.id != "gantry-right")
    readings = made.read_off(made.SOUND, near)
    assert "racking" not in seen_causes(depth_of(made.MACHINE, readings))
    whole = made.read_off(made.SOUND, made.EVENING)
    assert "racking" in seen_causes(depth_of(made.MACHINE, whole))
