"""What holds the moving part and its screws after changes: too much, too little, in words.

A body wants each freedom taken once. The counting is the plain one of exact constraint: what
takes a freedom a second time works against the first as soon as parts are out of line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plumbrise.machine import Machine, known
from plumbrise.redesign.changes import Change

_OF_ALL = {
    1: "One screw holds the height of one end; the other end's height is held by the carriages "
    "alone, through drag and stiffness against tilting.",
    2: "Two screws and the guides hold the level of the beam twice: screws and guides must be "
    "parallel within 0.1 to 0.2 mm over the travel, or they bind. Hold to this even where one "
    "screw by itself would permit more.",
    3: "Three screws hold the height of the bed and its tilt both ways, each once: that is just "
    "enough, as long as every joint to the bed lets it tilt. Sideways its guides are to hold it: "
    "a nut that is bolted hard to the bed holds it there once more, and binds as soon as its screw "
    "is out of line. Screws and guides must be parallel within 0.1 to 0.2 mm over the travel.",
}
"""By the number of screws. Common practice, no source."""
_TIED = (
    "The tie belt pulls each screw sideways where its pulley sits. A bearing must hold the screw "
    "there, no further from the pulley than the belt loop's sums allow: an end that stands out "
    "free bends. At the top of the screws that is a second place that holds them, so they must be "
    "straight; beside the lower bearing it is not."
)


def constraints_of(machine: Machine, changes: Iterable[Change]) -> tuple[str, ...]:
    """What is over- and under-constrained on this machine (as it is after the changes).

    Common practice, no source.

    Example:
        >>> from plumbrise.machine import blank
        >>> constraints_of(blank("two-screw"), ())[0][:40]
        'Two screws and the guides hold the level'
    """
    found = [_OF_ALL[len(machine.screw_sides)]]
    if machine.arrangement.tied:
        found.append(_TIED)
    sides: dict[str, list[str]] = {}
    for side in machine.screw_sides:
        for words in _of_screw(machine, side):
            sides.setdefault(words, []).append(side)
    found += [words.format(_of(machine, named)) for words, named in sides.items()]
    for change in changes:
        if change.frees:
            found.append(f"“{change.title}” frees {change.frees}.")
        if change.holds:
            found.append(f"“{change.title}” holds {change.holds}.")
    return tuple(found)


def _of(machine: Machine, sides: list[str]) -> str:
    """Of which screws something is said."""
    every = len(machine.screw_sides)
    if every == 1:
        return "of the screw"
    if len(sides) == every:
        return "of every screw"
    return f"of the {' and '.join(sides)} screw{'s' if len(sides) > 1 else ''}"


def _of_screw(machine: Machine, side: str) -> Iterator[str]:
    """What holds one screw, with a place for which screw it is."""
    floating = known(machine, "nut.kind", side).value == "floating"
    held = known(machine, "screw.top_end", side).value == "held"
    rigid = known(machine, "coupling.kind", side).value == "rigid"
    if held and not floating:
        yield (
            "The top {} is held while its nut is fixed: sideways the screw is held at bottom, nut "
            "and top, so a bow or an error of line pushes the moving part once a turn."
        )
    if rigid and not floating and not held:
        yield (
            "A rigid coupling and a fixed nut hold the bottom {} twice sideways near the lowest "
            "height: line them up there."
        )
    if known(machine, "bearing.carries_weight", side).value == "thrust-bearing":
        yield (
            "The thrust bearing {} holds it downward only: upward it is held by weight, so it "
            "needs a collar or washer on the other side if the axis can push down."
        )
    if floating:
        yield (
            "A nut that floats must be held against lifting off, or what it carries can hang and "
            "drop: mind the nut {}."
        )
