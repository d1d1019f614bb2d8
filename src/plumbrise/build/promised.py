"""Limits that come from what a proposal counts on: the middle of an effect, and one spread."""

from __future__ import annotations

from math import exp, prod

from plumbrise.build.step import Bounds, Limit, On
from plumbrise.machine import known
from plumbrise.redesign import CATALOGUE, Effect, Way

PROMISED = "what the proposal counts on, and one spread of it"


def promised(entry: str, *changes: str) -> Limit:
    """At most what the chosen one of these changes counts on, and one spread more."""

    def bounds(on: On) -> Bounds:
        effects = effects_of(on, entry, changes or tuple(CATALOGUE), (Way.AT_MOST, Way.TO))
        if not effects:
            return Bounds(missing="what the proposal counts on here")
        high = _upper(min(effects, key=_upper))
        finest = float(known(on.after, "gauge.resolution_mm").value)
        if entry.endswith("_mm") and high < finest:
            return Bounds(high=finest, source=f"{PROMISED}, but no finer than the gauge reads")
        return Bounds(high=high, source=PROMISED)

    return bounds


def share_of_before(entry: str) -> Limit:
    """Reading after over reading before, where the changes count on a factor of `entry`: of a
    stiffness, what gives falls by the factor; of a loss, the loss falls with it."""

    def bounds(on: On) -> Bounds:
        effects = effects_of(on, entry, tuple(CATALOGUE), (Way.TIMES,))
        if not effects:
            return Bounds(missing="what the proposal counts on here")
        if effects[0].middle > 1:
            return Bounds(high=prod(exp(e.spread) / e.middle for e in effects), source=PROMISED)
        return Bounds(high=prod(_upper(e) for e in effects), source=PROMISED)

    return bounds


def effects_of(on: On, entry: str, changes: tuple[str, ...], ways: tuple[Way, ...]) -> list[Effect]:
    """The effects of the chosen ones of these changes on one number of the axis."""
    return [
        effect
        for change in changes
        if change in on.changes
        for effect in CATALOGUE[change].made_on(on.before).effects
        if effect.entry == entry and effect.way in ways
    ]


def _upper(effect: Effect) -> float:
    return effect.middle * exp(effect.spread)
