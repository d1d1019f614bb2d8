"""What the records of changes are written with: effects in a line, and names of arrangements."""

from __future__ import annotations

from plumbrise.redesign.changes import Effect, OnlyIf, Way

TO, AT_MOST, AT_LEAST, TIMES = Way.TO, Way.AT_MOST, Way.AT_LEAST, Way.TIMES
ONE_SCREW, TWO_SCREW, TIED, THREE_SCREW = (
    "one-screw",
    "two-screw",
    "two-screw-tied",
    "three-screw-bed",
)


def effect(
    entry: str,
    way: Way,
    middle: float,
    spread: float,
    cause: str = "",
    where: str = "all",
    only_if: OnlyIf = (),
) -> Effect:
    """One effect, its numbers in the order in which they are thought of."""
    return Effect(
        entry=entry,
        way=way,
        middle=middle,
        spread=spread,
        cause=cause,
        where=where,
        only_if=only_if,
    )
