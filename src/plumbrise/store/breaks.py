"""A set-up left half read: how long ago, and whether its gauge still stands as it did."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from plumbrise.report.amounts import minutes_words
from plumbrise.store.records import Kept
from plumbrise.store.sitting import Sitting

TOUCHED = "Was the gauge or its stand touched or moved since, or switched off?"
"""What is asked before a half-read set-up is gone on with."""
ZERO_IS_GONE = "begun again with a new home, and another zero of the gauge"
"""Why what a driven axis was half read at is read from its start."""
GONE_ON = "gone on"
"""The mark that says what was answered."""


def since_last_kept(sitting: Sitting, now: datetime) -> float | None:
    """Seconds since the last reading of this plan was kept; None where none was."""
    stamps = [datetime.fromisoformat(one.kept_at) for one in kept_of(sitting)]
    return max(0.0, (now - max(stamps)).total_seconds()) if stamps else None


def began(sitting: Sitting) -> datetime | None:
    """When the time of the readings of this plan counts from, through all breaks; None where no
    reading has a time. A reading that waited to be sent says too late a moment."""
    found = [
        datetime.fromisoformat(one.kept_at) - timedelta(seconds=one.reading.time_s)
        for one in kept_of(sitting)
        if one.reading.time_s is not None
    ]
    return min(found, default=None)


def untouched(sitting: Sitting, runs: Sequence[int], now: datetime) -> None:
    """Write beside half-read set-ups that their gauges were said to stand as they did."""
    words = f"gauge said to be untouched{ago_words(since_last_kept(sitting, now))}"
    for number in runs:
        sitting.mark(number, GONE_ON, words)


def ago_words(seconds: float | None) -> str:
    """How long ago, behind what it is said of; empty where that is not known.

    Example:
        >>> ago_words(60.0), ago_words(3 * 86400.0), ago_words(None)
        (', the last kept 1 min ago', ', the last kept 3 days ago', '')
    """
    if seconds is None:
        return ""
    days = seconds / 86_400.0
    words = minutes_words(seconds / 60.0) if days < 2 else f"{days:.0f} days"
    return f", the last kept {words} ago"


def kept_of(sitting: Sitting) -> list[Kept]:
    """The readings of this plan that stand."""
    runs = sitting.shelf.runs(sitting.machine_id)
    here = [run.id for run in runs if run.plan_id == sitting.plan_id]
    kept = [one for run_id in here for one in sitting.shelf.kept(run_id)]
    return [one for one in kept if one.reading.reading_mm is not None]
