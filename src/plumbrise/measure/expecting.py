"""What a reading should be about, from those before it, and what to ask where it is not."""

from __future__ import annotations

from plumbrise.measure.dial import Expected
from plumbrise.readings import Run
from plumbrise.readings.kinds import DEAD_WEIGHT, GAUGE_CHECK, REPEAT_HOME

SPAN_MM = 0.35
"""How far a reading may lie off what is expected before it is asked about: most of what an axis
loses at a turn (a choice, no source)."""
TURN_MM, TURN_LAG_MM, TURN_SPAN_MM = 3.0, 0.25, 0.6
"""Within so much travel of a turn a reading lags by about this much, and may lag by the span more:
the axis is taking up what it loses (a choice, no source)."""
SPAN_SAME_MM = 0.12
"""The same where this height was read before from this direction."""


def expected(run: Run, reading: int) -> Expected | None:
    """What a reading of a run should be about, from those before it; None for the first."""
    row = run.readings[reading]
    before = [r for r in run.readings[:reading] if r.reading_mm is not None]
    if not before:
        return None
    same = [
        r
        for r in before
        if r.target_mm == row.target_mm
        and r.approach == row.approach
        and (r.mass_kg, r.force_n) == (row.mass_kg, row.force_n)
    ]
    if same and run.kind not in (DEAD_WEIGHT, REPEAT_HOME):
        return Expected(same[-1].reading_mm or 0.0, SPAN_SAME_MM)
    last = before[-1]
    moves = run.follows_command or run.kind is GAUGE_CHECK
    way = row.target_mm - last.target_mm if moves else 0.0
    middle, span = (last.reading_mm or 0.0) + way, SPAN_MM
    if (
        run.follows_command
        and run.kind is not REPEAT_HOME
        and (_since_turn_mm(run, reading) <= TURN_MM)
    ):
        middle -= TURN_LAG_MM if row.approach == "up" else -TURN_LAG_MM
        span = TURN_SPAN_MM
    return Expected(round(middle, 6), span)


def _since_turn_mm(run: Run, reading: int) -> float:
    """How far the axis has been told to go since it last turned, or since the run began."""
    row = run.readings[reading]
    turned = next(
        (r for r in reversed(run.readings[:reading]) if r.approach != row.approach),
        run.readings[0],
    )
    return abs(row.target_mm - turned.target_mm)


def suspicion(value_mm: float, about: Expected | None) -> str:
    """What to ask about a value that is off what is expected; empty where it is not.

    Example:
        >>> suspicion(1.44, Expected(1.0, 0.3))
        '0.14 mm outside what was expected (0.70 to 1.30). Keep it, or read again?'
    """
    off = about.far_off_mm(value_mm) if about is not None else 0.0
    if about is None or off <= 0:
        return ""
    low, high = about.middle_mm - about.span_mm, about.middle_mm + about.span_mm
    return (
        f"{off:.2f} mm outside what was expected ({low:.2f} to {high:.2f}). Keep it, or read again?"
    )
