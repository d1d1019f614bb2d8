"""What a measure sheet is told: the set-ups once, then only what changes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from plumbrise.cautions import DEFER, FALLING_GANTRY, HOT_PARTS, MEASURING, PINCH, Hazard
from plumbrise.measure.by_hand import LEAF, NO_LEAF, on_the_way
from plumbrise.measure.dial import turn_of
from plumbrise.measure.expecting import (
    SPAN_MM,
    SPAN_SAME_MM,
    TURN_LAG_MM,
    TURN_MM,
    TURN_SPAN_MM,
)
from plumbrise.measure.motion_path import commands_moves
from plumbrise.measure.mounting import doing_of, mounting, pulls, test_of
from plumbrise.measure.pairs import pairs_of
from plumbrise.quantity import GRAVITY_M_PER_S2, INCH_MM
from plumbrise.readings import Run
from plumbrise.readings.kinds import DEAD_WEIGHT, GAUGE_CHECK, REPEAT_HOME, SIDE_PUSH
from plumbrise.report.names import as_sentence, lowered, station_name
from plumbrise.store.breaks import TOUCHED
from plumbrise.store.counting import COUNTS
from plumbrise.web.capture import BOOT, Capture
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_words import BY_HAND, COMING, DOES


def set_ups(capture: Capture) -> dict[str, Any]:
    """The set-ups of a plan and all that a page needs to take a reading while the bench is away."""
    session = capture.sitting.session
    return {
        "key": capture.key,
        "runs": [_set_up(run) for run in session.runs],
        "resolution": session.step_mm,
        "turn": turn_of(session.step_mm, turn_mm=session.dial_turn_mm, inches=session.inches),
        "unit": INCH_MM if session.inches else 1.0,
        "spans": {
            "any": SPAN_MM,
            "same": SPAN_SAME_MM,
            "lag": TURN_LAG_MM,
            "near": TURN_MM,
            "turn": TURN_SPAN_MM,
        },
        "cautions": _said(MEASURING),
        "moving": _said((PINCH, FALLING_GANTRY, HOT_PARTS)),
        "defer": DEFER,
        "touched": TOUCHED,
        "counts": {"up": COUNTS[False], "down": COUNTS[True]},
    }


def _said(hazards: Iterable[Hazard]) -> list[dict[str, str]]:
    return [{"title": hazard.title, "words": hazard.words} for hazard in hazards]


def _set_up(run: Run) -> dict[str, Any]:
    doing = doing_of(run)
    moves = run.follows_command or run.kind is GAUGE_CHECK
    loaded = run.kind in (DEAD_WEIGHT, SIDE_PUSH)
    return {
        "name": run.name,
        "place": as_sentence(station_name(run.station.id)).removesuffix("."),
        "title": as_sentence(
            f"{station_name(run.station.id)}, {lowered(test_of(run)[0])}"
        ).removesuffix("."),
        "where": mounting(run.station),
        "does": doing.moves,
        "watch": doing.watch,
        "hazards": _said(doing.hazards),
        "follows": run.follows_command and run.kind is not REPEAT_HOME,
        "moves": moves,
        "drives": commands_moves(run),
        "same": run.kind not in (DEAD_WEIGHT, REPEAT_HOME),
        "plot": "load" if loaded else "behind" if moves else "moved",
        "rows": [_row(run, index) for index in range(len(run.readings))],
    }


def _row(run: Run, index: int) -> list[Any]:
    """Target, way of coming, mass, force, load for the chart, what is done beside the target, and
    the way there in words."""
    reading = run.readings[index]
    pull = reading.force_n or 0.0
    load = pull if run.kind is SIDE_PUSH else reading.mass_kg * GRAVITY_M_PER_S2 - pull
    beside = f"{reading.mass_kg:g} kg" if reading.mass_kg else ""
    if run.kind is GAUGE_CHECK:  # nothing is told to move: a leaf goes under the plunger
        beside = LEAF.format(mm=f"{reading.target_mm:g}") if reading.target_mm else NO_LEAF
    beside = _force_words(run, pull) if pull else beside
    if run.kind in (DEAD_WEIGHT, SIDE_PUSH) and not beside:
        beside = "0 kg" if run.kind is DEAD_WEIGHT and not pulls(run) else "0 N"
    return [
        reading.target_mm,
        reading.approach,
        reading.mass_kg,
        reading.force_n,
        round(load, 3),
        beside,
        _way_words(run, index),
    ]


def _force_words(run: Run, force_n: float) -> str:
    """A force with its direction, short enough for the place of the target."""
    if not pulls(run):
        return f"{force_n:g} N"
    return f"{abs(force_n):g} N {'up' if force_n > 0 else 'down'}"


def _way_words(run: Run, index: int) -> str:
    """From which side the axis comes, and what whoever moves it by hand does before."""
    row = run.readings[index]
    coming = COMING.format(way=row.approach) if run.kind.moves and row.approach else ""
    by_hand = on_the_way(run, index)
    return ", ".join(words for words in (coming, by_hand and BY_HAND.format(way=by_hand)) if words)


def axis_told(axis: Axis) -> dict[str, Any]:
    """Where the axis is, and what to say of it beside the stop."""
    standing = axis.standing
    does = standing.does.value
    says = DOES[does] if does == "waits" else standing.words or DOES[does]
    return {**asdict(standing), "does": does, "says": DOES["held"] if standing.held else says}


def axis_now(axis: Axis) -> dict[str, Any]:
    """The same, and when that is by the bench's clock: a page that asks for a move says what it
    last heard, so that one which was held up on the way is told from one of now."""
    return {"at_s": round(axis.clock(), 3), **axis_told(axis)}


def live(capture: Capture, *, everything: bool = False) -> dict[str, Any]:
    """How far the reading is. Values of the set-ups that are worked on; with `everything` all."""
    session = capture.sitting.session
    asks = session.asks
    runs = session.runs
    pairs = pairs_of(session) if session.at_hand.at_once > 1 else {}
    now = [runs[number].name for number in capture.read_now()]
    wanted = {capture.touched, *now}
    return {
        "boot": BOOT,
        "version": capture.version,
        "names": [run.name for run in runs],
        "asks": None if asks is None else [runs[asks.run].name, asks.reading],
        "left": session.left,
        "disk": sum(len(run.taken) for run in runs),
        "undo": capture.undoes(),
        "pairs": {runs[one].name: runs[other].name for one, other in pairs.items()},
        "down": sorted(session.counts_down),
        "quiet_s": _quiet_s(capture),
        "ended": [run.name for i, run in enumerate(runs) if not session.asks_in(i)],
        "values": {
            run.name: _values(capture, number, run)
            for number, run in enumerate(runs)
            if everything or run.name in wanted
        },
    }


def _quiet_s(capture: Capture) -> float | None:
    """How long nothing was kept and the gauge not said to stand; None before the first reading."""
    if capture.last_at is None:
        return None
    return round(max(0.0, (capture.now() - capture.last_at).total_seconds()), 1)


def _values(capture: Capture, number: int, run: Run) -> list[Any]:
    """A value, None where it is still open, "x" where it could not be read, by reading."""
    session = capture.sitting.session
    answered = session.answered
    return [
        row.reading_mm if row.reading_mm is not None else ("x" if (number, i) in answered else None)
        for i, row in enumerate(run.readings)
    ]
