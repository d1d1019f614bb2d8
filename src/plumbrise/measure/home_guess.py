"""What is said where the machine file does not say which way the axis homes."""

from __future__ import annotations

from plumbrise.machine import Machine, known
from plumbrise.measure.motion_path import commands_moves, steps_of
from plumbrise.readings.history import OVERRUN_MM
from plumbrise.readings.table import Run


def home_guess(machine: Machine, run: Run) -> str:
    """The guess on which a set-up homes again while the gauge stands, and what happens where it is
    wrong; empty where the file says it, or where nothing homes then.

    Example:
        >>> from plumbrise.machine import blank
        >>> from plumbrise.measure.setups import candidates
        >>> machine = blank("one-screw")
        >>> homes = next(s for s in candidates(machine) if s.kind.id == "repeat-home")
        >>> home_guess(machine, homes.run).partition(".")[0]
        'The machine file does not say which way the axis homes: down is taken'
    """
    home = known(machine, "controller.home")
    if not home.assumed or not _homes_again(machine, run):
        return ""
    other = "up" if home.value == "down" else "down"
    travel = machine.travel.height_mm
    far = "over the whole travel" if travel is None else f"as far as {travel:g} mm"
    away = ", away from the nozzle," if machine.arrangement.body == "bed" else ""
    return (
        f"The machine file does not say which way the axis homes: {home.value}{away} is taken. "
        f"It homes again here while the gauge stands: if it homes {other}, it goes {far} then, and "
        f"drives the gauge to its stop. Watch the first homing, before the gauge is set. If it "
        f"goes {other}, end it there, write {other} as controller.home in the machine file, and "
        "have this made anew."
    )


def _homes_again(machine: Machine, run: Run) -> bool:
    return commands_moves(run) and any(step.home for step in steps_of(machine, run, OVERRUN_MM))
