"""The axis before and after, at one factor of exaggeration, so that the eye may compare."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from plumbrise.drawing.figures import Span
from plumbrise.drawing.load_path import EXAGGERATIONS, LARGEST_MOVEMENT, load_path
from plumbrise.drawing.marking import Marking
from plumbrise.drawing.tokens import Line
from plumbrise.machine import Machine, known

Drawn = tuple[Machine, Marking]


def common_factor(stages: tuple[Drawn, ...]) -> int | None:
    """How many times movement is enlarged in all of them; None where nothing moves.

    Example:
        >>> common_factor(()) is None
        True
    """
    largest = max((abs(e.loss.value) for _, m in stages for e in m.ends), default=0.0)
    if largest <= 0:
        return None
    room = LARGEST_MOVEMENT * min(
        float(known(machine, "frame.upright_height_mm").value) for machine, _ in stages
    )
    fitting = [factor for factor in EXAGGERATIONS if factor * largest <= room]
    return fitting[-1] if fitting else EXAGGERATIONS[0]


def two_stages(
    before: Drawn, after: Drawn, *, theme: str = "light", width_px: int = 400
) -> tuple[str, str]:
    """Both drawings with what each end loses, nothing else written on them.

    Args:
        before: the machine as it was, and its marking.
        after: the same after the work; it may be another machine.
        theme: light, dark or print.
        width_px: of each.
    """
    factor = common_factor((before, after))
    made = [
        load_path(
            machine,
            _plain(marking, factor),
            theme=theme,
            width_px=width_px,
            height_px=round(1.05 * width_px),
            prefix=f"{name}-",
        )
        for name, (machine, marking) in (("before", before), ("after", after))
    ]
    return made[0], made[1]


def with_ends(marking: Marking, told: Mapping[str, Span]) -> Marking:
    """The marking with what was judged of these ends, by station, in place of what a session says
    by itself: one end has one figure beside the drawing and on it."""
    ends = tuple(
        replace(end, loss=told[end.station], known=Line.MEASURED) if end.station in told else end
        for end in marking.ends
    )
    return replace(marking, ends=ends)


def _plain(marking: Marking, factor: int | None) -> Marking:
    return replace(
        marking,
        rows=(),
        racking=None,
        drags=(),
        stations=(),
        assumed=frozenset(),
        computed=frozenset(end.end for end in marking.ends if end.known is Line.COMPUTED),
        exaggeration=factor,
    )
