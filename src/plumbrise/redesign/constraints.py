"""What holds the moving part and its screws after changes: too much, too little, in words.

A body wants each freedom taken once. The counting is the plain one of exact constraint: what
takes a freedom a second time works against the first as soon as parts are out of line.
"""

from __future__ import annotations

from collections.abc import Iterable

from plumbrise.machine import Machine, known
from plumbrise.redesign.changes import Change


def constraints_of(machine: Machine, changes: Iterable[Change]) -> tuple[str, ...]:
    """What is over- and under-constrained on this machine (as it is after the changes).

    Common practice, no source.

    Example:
        >>> from plumbrise.machine import blank
        >>> constraints_of(blank("two-screw"), ())[0][:40]
        'Two screws and the guides hold the level'
    """
    found = []
    if len(machine.screw_sides) == 2:
        found.append(
            "Two screws and the guides hold the level of the beam twice: screws and guides must "
            "be parallel within 0.1 to 0.2 mm over the travel, or they bind. Hold to this even "
            "where one screw by itself would permit more."
        )
    if len(machine.screw_sides) == 1:
        found.append(
            "One screw holds the height of one end; the other end's height is held by the "
            "carriages alone, through drag and stiffness against tilting."
        )
    for side in machine.screw_sides:
        found += _of_screw(machine, side)
    for change in changes:
        if change.frees:
            found.append(f"“{change.title}” frees {change.frees}.")
        if change.holds:
            found.append(f"“{change.title}” holds {change.holds}.")
    return tuple(dict.fromkeys(found))


def _of_screw(machine: Machine, side: str) -> list[str]:
    found = []
    of = f" of the {side} screw" if len(machine.screw_sides) > 1 else " of the screw"
    floating = known(machine, "nut.kind", side).value == "floating"
    held = known(machine, "screw.top_end", side).value == "held"
    rigid = known(machine, "coupling.kind", side).value == "rigid"
    if held and not floating:
        found.append(
            f"The top{of} is held while its nut is fixed: sideways the screw is held at bottom, "
            "nut and top, so a bow or an error of line pushes the beam once a turn."
        )
    if rigid and not floating and not held:
        found.append(
            f"A rigid coupling and a fixed nut hold the bottom{of} twice sideways near the lowest "
            "height: line them up there."
        )
    if known(machine, "bearing.carries_weight", side).value == "thrust-bearing":
        found.append(
            f"The thrust bearing{of} holds it downward only: upward it is held by weight, so it "
            "needs a collar or washer on the other side if the axis can push down."
        )
    if floating:
        found.append(
            "A nut that floats must be held against lifting off, or the gantry can hang and drop."
        )
    return found
