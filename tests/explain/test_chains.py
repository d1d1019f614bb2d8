"""Chains that move draws from the bell at a mode onto what is believed."""

from __future__ import annotations

import numpy as np
import pytest

from plumbrise.axis import prepare
from plumbrise.explain.chains import Believed, bell_of, moved
from plumbrise.explain.fit import TRUSTED, Model, fit
from plumbrise.explain.space import space_of
from plumbrise.explain.witness import witness

CAUSES = frozenset({"motor-seat", "guide-drag"})
NONE = frozenset[str]()


@pytest.fixture(scope="module")
def ridge(made):
    """A stand-in axis whose readings hold only drag over seat stiffness: a curved ridge."""
    readings = made.read_off(made.SOUND, made.FIVE_MINUTES[:1])
    session = prepare(made.MACHINE, readings)
    seen = witness(session, 0.001)
    space = space_of(made.MACHINE, session)
    drag = session.layout.index("drag_n:left")
    seat = session.layout.index("seat_stiffness_n_per_mm:left")
    told = session.told_mm[seen.rows]

    def simulate(thetas):
        ratio = thetas[:, drag] / thetas[:, seat]
        return told + np.where(told > 0, -2.0, 0.0) * ratio[:, None]

    model = Model(space, seen, simulate)
    mode = fit(model, CAUSES, space.belief(CAUSES).middle, NONE)
    places = {space.entries[i].place: k for k, i in enumerate(mode.belief.active)}
    return model, mode, places[drag], places[seat]


def test_draws_have_the_posterior_of_a_curved_ridge(ridge):
    """Against quadrature over drag and stiffness, the rest of the axis at its prior."""
    model, mode, drag, seat = ridge
    u, _ = moved(model, mode, NONE, np.random.default_rng(3), 600, steps=200)
    active = mode.belief.active
    v = (u[:, active] - mode.belief.middle[active]) / mode.belief.spread[active]
    log_ratio = u[:, active[drag]] - u[:, active[seat]]

    axis = np.linspace(-4.4, 4.4, 221)
    grid_drag, grid_seat = np.meshgrid(axis, axis, indexing="ij")
    points = np.zeros((grid_drag.size, len(active)))
    points[:, drag], points[:, seat] = grid_drag.ravel(), grid_seat.ravel()
    believed = Believed(model, mode, model.witness.linear_spread(NONE))
    log_p = believed.log_density(points)
    weight = np.exp(log_p - log_p.max())
    weight /= weight.sum()
    places = believed.places(points)
    exact_ratio = places[:, active[drag]] - places[:, active[seat]]
    for values, exact in ((log_ratio, exact_ratio), (v[:, drag], points[:, drag])):
        mean = weight @ exact
        sd = np.sqrt(weight @ (exact - mean) ** 2)
        assert values.mean() == pytest.approx(mean, abs=5 * sd / np.sqrt(len(values)))
        assert values.std() == pytest.approx(sd, rel=0.15)


def test_what_the_readings_do_not_touch_stays_at_its_prior(ridge):
    model, mode, drag, seat = ridge
    u, _ = moved(model, mode, NONE, np.random.default_rng(4), 600, steps=200)
    active = mode.belief.active
    v = (u[:, active] - mode.belief.middle[active]) / mode.belief.spread[active]
    free = [k for k in range(len(active)) if k not in (drag, seat)]
    assert np.abs(v[:, free].mean(axis=0)).max() < 5 / np.sqrt(600)
    assert v[:, free].std() == pytest.approx(1.0, rel=0.05)


def test_the_bell_itself_is_left_as_it_is(ridge):
    """Its own draws scatter as its covariance says."""
    model, mode, _, _ = ridge
    bell = bell_of(model, mode, NONE)
    away = bell.draws(np.random.default_rng(5), 20_000)
    white = away @ bell.lower
    assert np.cov(white.T) == pytest.approx(np.eye(len(bell.middle)), abs=0.06)


def test_the_same_chance_gives_the_same_draws(ridge):
    model, mode, _, _ = ridge
    first, second = (moved(model, mode, NONE, np.random.default_rng(6), 8) for _ in range(2))
    assert np.array_equal(first[0], second[0])
    assert np.array_equal(first[1], second[1])


def test_many_readings_count_as_no_more_than_the_model_is_worth(ridge):
    """n readings count as n / (1 + n / TRUSTED): never more than TRUSTED of them."""
    model, _, _, _ = ridge
    count = model.witness.count
    worth = count * model.power
    assert worth == pytest.approx(1 / (1 / count + 1 / TRUSTED))
