"""The chain of losses: what each link takes of what a side loses.

Every axis drawn from what is believed is homed from above and driven up until it has settled,
with a gauge at every station. What a station loses beyond the one before it in the load path is
the loss of the link between; so links add up to what the side loses, draw by draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Session, predict_all, prepare
from plumbrise.explain.draws import Draws
from plumbrise.explain.results import HowKnown, Interval, LinkLoss, Side
from plumbrise.explain.space import Space
from plumbrise.machine import STATIONS, Machine
from plumbrise.readings import Reading, Readings, Run
from plumbrise.readings.kinds import COARSE_STEPS

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

LEVELS = (0.05, 0.5, 0.95)
SETTLED_MM = 8.0


def ends_of(machine: Machine) -> tuple[str, ...]:
    """Stations of the ends of the moving part."""
    return tuple(f"{machine.arrangement.body}-{end}" for end in machine.arrangement.ends)


def link_station(machine: Machine, link: str, side: str) -> str:
    """A link station's id on this machine."""
    return f"{link}-{side}" if len(machine.screw_sides) > 1 else link


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """A home and a drive upward, with a gauge at every station at once."""

    machine: Machine
    session: Session
    stations: tuple[str, ...]
    plunger: int

    def losses(self, thetas: Matrix) -> dict[str, Vector]:
        """What every station loses between home and settled, one value a vector. Stations that
        do not follow the command: how far they sink."""
        clean = thetas.copy()
        clean[:, self.plunger] = 0.0
        made = predict_all(self.session, clean).reading_mm
        out = {}
        for station, rows in zip(self.stations, self.session.rows_of_run, strict=True):
            rise = made[:, rows.stop - 1] - made[:, rows.start]
            told = SETTLED_MM if STATIONS[station].follows_command else 0.0
            out[station] = told - rise
        return out


def bench_of(machine: Machine, session: Session) -> Bench:
    """The bench for this machine."""
    names = [
        link_station(machine, link, side)
        for side in machine.screw_sides
        for link in ("motor-shaft", "screw", "nut")
    ]
    names += ends_of(machine)
    told = [0.0, SETTLED_MM / 2, SETTLED_MM]
    rows = tuple(
        Reading(seq=i, target_mm=t, reading_mm=None, approach="up" if i else "down")
        for i, t in enumerate(told)
    )
    runs = tuple(
        Run(name=name, kind=COARSE_STEPS, station=STATIONS[name], readings=rows) for name in names
    )
    made = prepare(session.base, Readings(runs))
    return Bench(machine, made, tuple(names), session.layout.index("plunger_mm"))


def interval(draws: Draws, values: Vector) -> Interval:
    """Median and central 90 % interval over the draws."""
    low, middle, high = draws.quantiles(values, LEVELS)
    return Interval(middle, low, high)


def _summed(draws: Draws, values: Vector) -> Interval:
    """Mean with a 90 % interval: means of parts add up to the mean of the whole."""
    low, _, high = draws.quantiles(values, LEVELS)
    mean = draws.mean(values)
    return Interval(mean, min(low, mean), max(high, mean))


def parts_of(machine: Machine, losses: Mapping[str, Vector], side: str) -> dict[str, Vector]:
    """What each link of one screw's load path takes, from the motor to the body."""
    shaft = losses[link_station(machine, "motor-shaft", side)]
    screw = losses[link_station(machine, "screw", side)]
    nut = losses[link_station(machine, "nut", side)]
    body = losses[f"{machine.arrangement.body}-{side}"]
    return {"seat": shaft, "coupling": screw - shaft, "nut": nut - screw, "bracket": body - nut}


def links_and_sides(
    machine: Machine, draws: Draws, losses: Mapping[str, Vector], read: frozenset[str]
) -> tuple[tuple[LinkLoss, ...], tuple[Side, ...]]:
    """Losses of all links, and what each end loses in all.

    Args:
        machine: the axis.
        draws: what is believed.
        losses: of every station, from the bench, one value a draw.
        read: stations at which moving runs were read.
    """
    links: list[LinkLoss] = []
    ends = ends_of(machine)
    driven = {f"{machine.arrangement.body}-{side}" for side in machine.screw_sides}
    one_screw = len(machine.screw_sides) == 1
    for side in machine.screw_sides:
        end = f"{machine.arrangement.body}-{side}"
        reached = ends if one_screw else (end,)
        parts = parts_of(machine, losses, side)
        known = _known(machine, side, read)
        for link, values in parts.items():
            how, shared = known[link]
            together = sum((parts[other] for other in (link, *shared)), np.zeros(len(values)))
            links.append(
                LinkLoss(
                    link,
                    side,
                    dict.fromkeys(reached, _summed(draws, values)),
                    how,
                    shared,
                    dict.fromkeys(reached, _summed(draws, together)) if shared else {},
                )
            )
    if one_screw:
        near = f"{machine.arrangement.body}-{machine.screw_sides[0]}"
        for end in ends:
            if end in driven:
                continue
            both = end in read and near in read
            links.append(
                LinkLoss(
                    "racking",
                    STATIONS[end].side or "",
                    {end: _summed(draws, losses[end] - losses[near])},
                    HowKnown.MEASURED if both else HowKnown.COMPUTED,
                )
            )
    sides = tuple(Side(end, _summed(draws, losses[end]), end in read) for end in ends)
    return tuple(links), sides


def _known(
    machine: Machine, side: str, read: frozenset[str]
) -> dict[str, tuple[HowKnown, tuple[str, ...]]]:
    """How each link is known: between which stations read it lies."""
    order = ("seat", "coupling", "nut", "bracket")
    upper = [link_station(machine, name, side) for name in ("motor-shaft", "screw", "nut")]
    upper.append(f"{machine.arrangement.body}-{side}")
    out: dict[str, tuple[HowKnown, tuple[str, ...]]] = {}
    group: list[str] = []
    for link, station in zip(order, upper, strict=True):
        group.append(link)
        if station in read:
            for one in group:
                shared = tuple(other for other in group if other != one)
                out[one] = (HowKnown.SHARED if shared else HowKnown.MEASURED, shared)
            group = []
    out.update(dict.fromkeys(group, (HowKnown.COMPUTED, ())))
    return out


def loss_by_cause(
    space: Space, draws: Draws, bench: Bench, losses: Mapping[str, Vector], cause: str
) -> dict[str, Interval]:
    """What returns at each end when this cause alone is put back to sound."""
    sound = space.healthy(cause, draws.thetas)
    if np.array_equal(sound, draws.thetas):
        return {}
    mended = bench.losses(sound)
    ends = ends_of(bench.machine)
    return {end: interval(draws, losses[end] - mended[end]) for end in ends}
