"""Parts that have come, each measured against the machine before it is opened."""

from __future__ import annotations

from plumbrise.build.part_checks import PART_CHECKS, PartCheck
from plumbrise.build.step import Stage, Step
from plumbrise.redesign import CATALOGUE


def _fit(check: PartCheck) -> Step:
    """The step in which a part that has come is measured against the machine."""
    return Step(
        id=check.id,
        stage=Stage.BEFORE,
        changes=tuple(
            change.id
            for change in CATALOGUE.values()
            if any(part.name == check.part for part in change.parts)
        ),
        after=("order-parts", "print-parts"),
        title=f"{check.part}: measure against the machine",
        words=check.words,
        tools=check.tools,
        minutes=check.minutes,
        mark=check.mark,
        accept=check.accept,
        unmeasured=check.unmeasured,
        fails=f"{check.fails} Nothing is opened before it fits.",
    )


FITTING = tuple(_fit(check) for check in PART_CHECKS.values())
