"""Steps inside a run: a bumped gauge, a clamp that slipped, or steps that the motor lost."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, pi, sqrt

import numpy as np

from plumbrise.explain.draws import Draws
from plumbrise.explain.priors import CHANCE
from plumbrise.explain.results import Slip
from plumbrise.explain.search import Found, rest_of
from plumbrise.explain.witness import behind_clamp

BUMPS = 0.02
"""Chance of a bumped gauge in a run."""
FALLS = 0.2
SLIPS = 0.5
FALL_SPREAD_MM = 0.006
SLIP_SPREAD_MM = 0.06
BUMP_SPREAD_MM = 0.12
MOST_FALLS = 4


def share_jumps(
    found: Found, draws: Draws, full_step_mm: float | None, rng: np.random.Generator
) -> tuple[Draws, tuple[Slip, ...]]:
    """Say of every step what it may be, and give lost steps and slips their share of the draws."""
    seen = found.model.witness
    count = len(draws.weight)
    takes = dict(draws.takes)
    if not seen.jumps:
        takes["lost-steps"] = np.zeros(count, dtype=bool)
        return replace(draws, takes=takes), ()
    first = len(seen.names) - len(seen.jumps)
    _, terms, _ = rest_of(found.model, found.nodes[0].mode, found.nodes[0].mode.linear)
    sizes = terms[first:]
    doubt = np.std(draws.terms[:, first:], axis=0) + 0.002
    logs = {}
    for lost in (False, True):
        for slipped in (False, True):
            total = log(CHANCE / (1 - CHANCE)) * (lost + slipped)
            total += quiet_log(found, lost, slipped)
            for jump, size, u in zip(seen.jumps, sizes, doubt, strict=True):
                run = seen.run(jump.run)
                total += log(
                    BUMPS * _bell(size, 0.0, sqrt(BUMP_SPREAD_MM**2 + u**2))
                    + (FALLS * _fall(size, u, full_step_mm) if lost and run.follows_command else 0)
                    + (SLIPS * _slid(size, u) if slipped and behind_clamp(run) else 0)
                    + 1e-12
                )
            logs[lost, slipped] = total
    top = max(logs.values())
    whole = sum(exp(value - top) for value in logs.values())
    p = {key: exp(value - top) / whole for key, value in logs.items()}
    keys = list(p)
    which = rng.choice(len(keys), size=count, p=[p[key] for key in keys])
    takes["lost-steps"] = np.array([keys[k][0] for k in which], dtype=bool)
    slipped_too = np.array([keys[k][1] for k in which], dtype=bool)
    takes["coupling-slip"] = takes.get("coupling-slip", np.zeros(count, dtype=bool)) | slipped_too
    words = []
    likeliest = max(p, key=lambda key: p[key])
    what = "lost steps" if likeliest[0] else "a slipping clamp" if likeliest[1] else "a bump"
    for jump, size in zip(seen.jumps, sizes, strict=True):
        run = seen.run(jump.run)
        row = seen.rows[seen.bounds[jump.run].start + jump.reading]
        number = int(seen.session.reading[row])
        words.append(
            Slip(run.name, number, f"From here on {size:+.3f} mm, to the end: likely {what}.")
        )
    return replace(draws, takes=takes), tuple(words)


def quiet_log(found: Found, lost: bool, slipped: bool) -> float:
    """Log chance that all runs without a step stayed without, if steps are lost or slip."""
    seen = found.model.witness
    stepped = {jump.run for jump in seen.jumps}
    total = 0.0
    for part in range(len(seen.bounds)):
        run = seen.run(part)
        if part in stepped or not run.kind.moves:
            continue
        if lost and run.follows_command:
            total += log(1 - FALLS)
        if slipped and behind_clamp(run):
            total += log(1 - SLIPS)
    return total


def _bell(x: float, middle: float, spread: float) -> float:
    return exp(-0.5 * ((x - middle) / spread) ** 2) / (spread * sqrt(2 * pi))


def _fall(size: float, u: float, full_step_mm: float | None) -> float:
    """Density of a fall by whole multiples of four full steps."""
    if full_step_mm is None:
        return 0.0
    spread = sqrt(FALL_SPREAD_MM**2 + u**2)
    falls = range(1, MOST_FALLS + 1)
    return sum(_bell(size, -4 * full_step_mm * n, spread) * 0.5**n for n in falls)


def _slid(size: float, u: float) -> float:
    """Density of a slip: downward only."""
    return 2 * _bell(size, 0.0, sqrt(SLIP_SPREAD_MM**2 + u**2)) if size < 0 else 0.0
