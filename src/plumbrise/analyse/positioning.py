"""Positioning figures of an axis from repeated approaches, by the letter of ISO 230-2."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.analyse.statistics import sample
from plumbrise.errors import InputError

FEWEST_RUNS = 2
"""With one run a direction there is no scatter. The standard asks for five."""


@dataclass(frozen=True, slots=True)
class TargetDeviations:
    """Deviations (reading less target) at one target, one a run, by direction of approach."""

    target_mm: float
    up: tuple[float, ...]
    down: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class AtTarget:
    """Figures at one target: means, standard deviations, reversal value, repeatability."""

    target_mm: float
    mean_up: float
    mean_down: float
    mean: float
    sd_up: float
    sd_down: float
    reversal: float
    repeatability_up: float
    repeatability_down: float
    repeatability: float


@dataclass(frozen=True, slots=True)
class Positioning:
    """Figures of the axis, in the unit of the deviations.

    `reversal` is the reversal value largest in size with its sign, `mean_reversal` the signed
    mean; up less down, so negative where the axis stays behind both ways.
    """

    at_targets: tuple[AtTarget, ...]
    reversal: float
    mean_reversal: float
    repeatability_up: float
    repeatability_down: float
    repeatability: float
    systematic_up: float
    systematic_down: float
    systematic: float
    mean_bidirectional: float
    accuracy_up: float
    accuracy_down: float
    accuracy: float


def positioning(targets: Sequence[TargetDeviations]) -> Positioning:
    """All figures of the standard.

        B_i = x̄_i↑ - x̄_i↓              R_i↑ = 4 s_i↑
        R_i = max(2 s_i↑ + 2 s_i↓ + |B_i|, R_i↑, R_i↓)
        E = largest less smallest of all x̄_i↑ and x̄_i↓        M = range of (x̄_i↑ + x̄_i↓)/2
        A = largest of all x̄ + 2s less smallest of all x̄ - 2s

    Args:
        targets: one or more, each with at least two runs a direction (the standard asks five).

    Returns:
        The figures. Their uncertainty is for the caller to add.

    Raises:
        InputError: no targets, or a target with fewer than two runs in a direction.

    Source:
        ISO 230-2:2014, clause 3 (from memory).
    """
    if not targets:
        raise InputError(
            place="targets",
            value=0,
            allowed="1 or more",
            remedy="Record a full-travel test, up and down.",
        )
    at = tuple(_at(target) for target in targets)
    highs_up, lows_up = [t.mean_up + 2 * t.sd_up for t in at], [t.mean_up - 2 * t.sd_up for t in at]
    highs_down = [t.mean_down + 2 * t.sd_down for t in at]
    lows_down = [t.mean_down - 2 * t.sd_down for t in at]
    ups, downs = [t.mean_up for t in at], [t.mean_down for t in at]
    return Positioning(
        at_targets=at,
        reversal=max((t.reversal for t in at), key=abs),
        mean_reversal=sum(t.reversal for t in at) / len(at),
        repeatability_up=max(t.repeatability_up for t in at),
        repeatability_down=max(t.repeatability_down for t in at),
        repeatability=max(t.repeatability for t in at),
        systematic_up=max(ups) - min(ups),
        systematic_down=max(downs) - min(downs),
        systematic=max(ups + downs) - min(ups + downs),
        mean_bidirectional=max(t.mean for t in at) - min(t.mean for t in at),
        accuracy_up=max(highs_up) - min(lows_up),
        accuracy_down=max(highs_down) - min(lows_down),
        accuracy=max(highs_up + highs_down) - min(lows_up + lows_down),
    )


def _at(target: TargetDeviations) -> AtTarget:
    for direction, values in (("up", target.up), ("down", target.down)):
        if len(values) < FEWEST_RUNS:
            raise InputError(
                place=f"target {target.target_mm:g} mm, {direction}",
                value=len(values),
                allowed=f"{FEWEST_RUNS} runs or more",
                remedy="Repeat the test.",
            )
    up, down = sample(target.up), sample(target.down)
    reversal = up.mean - down.mean
    return AtTarget(
        target_mm=target.target_mm,
        mean_up=up.mean,
        mean_down=down.mean,
        mean=(up.mean + down.mean) / 2,
        sd_up=up.sd,
        sd_down=down.sd,
        reversal=reversal,
        repeatability_up=4 * up.sd,
        repeatability_down=4 * down.sd,
        repeatability=max(2 * up.sd + 2 * down.sd + abs(reversal), 4 * up.sd, 4 * down.sd),
    )
