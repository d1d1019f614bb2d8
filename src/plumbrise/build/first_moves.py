"""The first bounded moves after the first homing, as a program that the checker has passed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from plumbrise.cautions import FALLING_GANTRY, HOT_PARTS, PINCH
from plumbrise.machine import Machine, known
from plumbrise.measure.fingerprint import LABEL, fingerprint
from plumbrise.measure.motion_path import axis_word_mm, home_mm
from plumbrise.measure.program_check import ProgramCheck, check_program

FEED_MM_PER_MIN = 120.0
"""2 mm/s: a hand at the switch is faster."""
CLEAR_MM = 10.0
"""No nearer to either end of the travel: the nozzle's height is not set yet."""
SMALL_MM, MIDDLE_MM = 1.0, 20.0
WAIT_S = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstMoves:
    """The program, with what its check found; `text` is "" where `missing` says why there is
    none. `heights_mm` are what follows Z, in order: the gap under the nozzle."""

    text: str
    heights_mm: tuple[float, ...]
    check: ProgramCheck | None
    missing: str = ""


def first_moves(machine: Machine) -> FirstMoves:
    """Home, then small moves, then larger ones, away from both ends of the travel.

    Args:
        machine: the axis as it will be. Without its travel there is no program: nothing is moved
            within a guessed one.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Travel
        >>> made = first_moves(replace(blank("one-screw"), travel=Travel(height_mm=250.0)))
        >>> made.heights_mm, made.check.safe
        ((10.0, 11.0, 10.0, 30.0, 125.0, 240.0, 125.0, 10.0), True)
        >>> first_moves(blank("one-screw")).missing
        'the travel, in the machine file: nothing is moved within a guessed one'
    """
    travel = machine.travel.height_mm
    if travel is None:
        return without_moves(
            "the travel, in the machine file: nothing is moved within a guessed one"
        )
    if travel < 4 * CLEAR_MM:
        return without_moves(f"a travel of {4 * CLEAR_MM:g} mm or more")
    heights = _heights(travel, axis_word_mm(machine, home_mm(machine)) > travel / 2)
    text = "\n".join(_lines(machine, heights)) + "\n"
    check = check_program(machine, text)
    if not check.safe:
        return without_moves(next(one.what for one in check.findings if one.refuses))
    return FirstMoves(text=text, heights_mm=heights, check=check)


def without_moves(missing: str) -> FirstMoves:
    """No program, for want of this."""
    return FirstMoves(text="", heights_mm=(), check=None, missing=missing)


def _heights(travel: float, from_top: bool) -> tuple[float, ...]:
    low, high, middle = CLEAR_MM, _tenths(travel - CLEAR_MM), _tenths(travel / 2)
    small, larger = SMALL_MM, min(MIDDLE_MM, _tenths(travel / 4))
    if from_top:
        return (high, high - small, high, high - larger, middle, low, middle, high)
    return (low, low + small, low, low + larger, middle, high, middle, low)


def _tenths(length_mm: float) -> float:
    """Cut to tenths of a millimetre."""
    return floor(10 * length_mm) / 10


def _lines(machine: Machine, heights: tuple[float, ...]) -> Iterator[str]:
    waits = machine.controller.stop_waits is True
    yield "; First moves after a rebuild. One hand at the switch throughout."
    yield f"; {LABEL} {fingerprint(machine)}"
    yield "; Bed plate off, or foam on it. Heaters off, everything cold."
    for hazard in (PINCH, FALLING_GANTRY, HOT_PARTS):
        yield f"; Caution. {hazard.title}."
    yield from _said_of_guesses(machine)
    wait_words = "stops" if waits else f"waits {WAIT_S:g} s and goes on by itself"
    yield f"; After each move it {wait_words}. Look: every end alike,"
    yield "; no scraping, cable free."
    own = [line.strip() for text in machine.controller.begin for line in text.split("\n")]
    yield from (line for line in own if line)
    yield from ("G21", "G91", "G28 Z0", "G90")
    unit = known(machine, "controller.dwell_unit").value
    wait = "M0" if waits else f"G4 P{WAIT_S * (1000 if unit == 'milliseconds' else 1):g}"
    for height in heights:
        yield f"G1 Z{round(height, 1):.7g} F{FEED_MM_PER_MIN:g}"
        yield wait
    yield "; Done. The motors still hold: blocks under every end before you switch off."


def _said_of_guesses(machine: Machine) -> Iterator[str]:
    """What the machine file leaves open, and where that shows."""
    home, unit = (known(machine, f"controller.{what}") for what in ("home", "dwell_unit"))
    if home.assumed:
        yield "; The machine file does not say which way the axis homes:"
        yield f"; {home.value} is taken. If it homes the other way, end it there."
    if machine.controller.stop_waits is not True and unit.assumed:
        yield "; The machine file does not say how a dwell is counted:"
        yield f"; {unit.value} are taken. If the first wait is not {WAIT_S:g} s, end it."
