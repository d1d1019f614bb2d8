"""Speed of the axis model: moves a second on one core, warm, and what each move takes.

    python benchmarks/axis.py

The counts (evaluations a move, moves that did not settle) do not depend on who else uses the
machine; the speeds do. Axes are drawn over the range from sound to badly worn.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np

from plumbrise.axis import layout_of, predict_all, prepare, sound, vector_of
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank
from plumbrise.readings import KINDS, Reading, Readings, Run

SPREAD = {
    "weight_n": (11, 0.35),
    "seat_stiffness_n_per_mm": (150, 1.2),
    "seat_travel_mm": (0.1, 0.8),
    "coupling_stiffness_n_per_mm": (130, 1.2),
    "bracket_stiffness_n_per_mm": (160, 1.2),
    "play_mm": (0.06, 1.0),
    "end_float_mm": (0.03, 0.8),
    "drag_n": (3, 0.8),
    "racking_n_per_mm": (50, 1.1),
    "tilting_n_per_mm": (50, 1.1),
    "reach_mm": (0.08, 0.8),
    "spread": (0.8, 0.35),
    "weights": (1, 0.4),
}
"""Quantity -> median and spread of its logarithm."""


def axes(base, count: int, rng: np.random.Generator) -> np.ndarray:
    """Vectors of random axes."""
    layout = layout_of(base)
    theta = np.tile(vector_of(base), (count, 1))
    for quantity, (median, spread) in SPREAD.items():
        for at in layout.of(quantity):
            theta[:, at] = median * np.exp(spread * rng.standard_normal(count))
    for at in layout.of("profile"):
        theta[:, at] = 0.13 * rng.standard_normal(count)
    return theta


def full_travel(station: str) -> Run:
    """Every 10 mm over the height, up and down, three times."""
    once = [(z, "up") for z in range(10, 250, 10)] + [(z, "down") for z in range(240, 0, -10)]
    return _run("full-travel", station, once * 3)


def reversal(station: str) -> Run:
    """Two reversals in steps of 0.05 mm at 60 mm."""
    up = [round(60 + 0.05 * k, 2) for k in range(41)]
    path = [(z, "up") for z in up] + [(z, "down") for z in up[::-1]]
    return _run("reversal", station, path * 2)


def fine_steps(station: str) -> Run:
    """A staircase of 0.1 mm from home."""
    return _run("fine-steps", station, [(round(0.1 * k, 1), "up") for k in range(51)])


def _run(kind: str, station: str, path: list[tuple[float, str]]) -> Run:
    return Run(
        name=f"{kind} {station}",
        kind=KINDS[kind],
        station=STATIONS[station],
        readings=tuple(
            Reading(seq=i, target_mm=z, reading_mm=z, approach=way)
            for i, (z, way) in enumerate(path)
        ),
    )


def measure(arrangement: str, elements: int, moves_wanted: int, rng: np.random.Generator) -> None:
    """Print the figures of one arrangement, drag varying with height or the same all over.

    All moves are counted; the speed is that of the quickest of many short pieces, which other
    jobs on the machine disturb least.
    """
    base = sound(blank(arrangement), elements=elements)
    place = "bed" if base.arrangement.body == "bed" else "gantry-left"
    for make in (full_travel, reversal, fine_steps):
        session = prepare(base, Readings((make(place),)))
        for drag in ("varying", "even"):
            theta = axes(base, max(2, moves_wanted // session.programs.count), rng)
            if drag == "even":
                theta[:, list(session.layout.of("profile"))] = 0.0
            predict_all(session, theta[:2])
            piece = max(1, 20_000 // session.programs.count)
            quickest, evaluations, unconverged = np.inf, 0, 0
            for first in range(0, len(theta), piece):
                some = theta[first : first + piece]
                began = perf_counter()
                made = predict_all(session, some)
                took = (perf_counter() - began) / len(some)
                quickest = min(quickest, took)
                evaluations += made.evaluations
                unconverged += made.unconverged
            moves = len(theta) * session.programs.count
            print(
                f"{arrangement:16} {elements} elements  {make.__name__:12} {drag:8}"
                f"{session.programs.count / quickest / 1e6:6.1f} M moves/s"
                f"  {evaluations / moves:5.2f} evaluations a move"
                f"  {unconverged} of {moves / 1e6:.2f} M moves did not settle",
                flush=True,
            )


def session_speed(rng: np.random.Generator) -> None:
    """Print what one prediction and one Jacobian of a full session cost."""
    stations = ("motor-shaft", "screw", "nut", "gantry-left", "gantry-right")
    runs = [reversal(s) for s in stations] + [full_travel(stations[3]), full_travel(stations[4])]
    runs += [fine_steps(s) for s in stations[3:]]
    session = prepare(blank("one-screw"), Readings(tuple(runs)))
    theta = axes(session.base, 50, rng)
    predict_all(session, theta)
    best = np.inf
    for _ in range(20):
        began = perf_counter()
        predict_all(session, theta)
        best = min(best, perf_counter() - began)
    print(
        f"full session: {session.count} readings, {session.programs.count} moves; "
        f"50 vectors in {best * 1e3:.2f} ms, {best / 50 * 1e6:.0f} µs each"
    )


def main() -> None:
    """All arrangements, then a full session."""
    rng = np.random.default_rng(1)
    for elements in (4, 8):
        for arrangement in ARRANGEMENTS:
            measure(arrangement, elements, 1_000_000 if elements == 4 else 300_000, rng)
    session_speed(rng)


if __name__ == "__main__":
    main()
