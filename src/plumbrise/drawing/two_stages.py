"""The axis before and after, at one factor of exaggeration, so that the eye may compare."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.drawing.load_path import EXAGGERATIONS, LARGEST_MOVEMENT, load_path
from plumbrise.drawing.marking import Marking
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


def _plain(marking: Marking, factor: int | None) -> Marking:
    return replace(
        marking,
        rows=(),
        racking=None,
        drags=(),
        stations=(),
        assumed=frozenset(),
        exaggeration=factor,
    )
