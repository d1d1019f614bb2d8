"""One set of changes in full: its figures before and after, its parts, what each change adds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from plumbrise.elements.asked import Trust
from plumbrise.elements.worked import Sheet, Verdict
from plumbrise.explain import Interval
from plumbrise.redesign.axes import base_of
from plumbrise.redesign.blocks import ends_lost
from plumbrise.redesign.changes import Change
from plumbrise.redesign.choosing import Weighed, holds
from plumbrise.redesign.constraints import constraints_of
from plumbrise.redesign.figures import FIGURES, LOST_MOTION, STAYS_UP, Figure, Target
from plumbrise.redesign.load import gear_of, load_of
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.parts import parts_of
from plumbrise.redesign.pricing import cost_of, hours_of
from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.results import Choice, Line, Prediction, WorkedFor
from plumbrise.redesign.sets import members
from plumbrise.redesign.sums import sizes_in, sums_for

Vector = NDArray[np.float64]

LEVELS = (0.05, 0.5, 0.95)
AXIS = "axis"
"""Where a figure stands that belongs to no station."""
SURELY_UP = 0.9


def line_of(prospects: Prospects, weighed: Weighed, at: int) -> Line:
    """One set as a line of the front."""
    changes = members(int(prospects.masks[at]), prospects.changes)
    return Line(
        tuple(change.id for change in changes),
        cost_of(changes),
        hours_of(changes),
        float(weighed.probability[at]),
    )


def choice_of(prospects: Prospects, weighed: Weighed, at: int) -> Choice:
    """One set in full."""
    mask = int(prospects.masks[at])
    changes = members(mask, prospects.changes)
    after = machine_changed(prospects.machine, changes)
    predictions = predictions_of(prospects, weighed.targets, mask)
    one = np.array([mask], dtype=np.int64)
    base = base_of(prospects.draws.base, after)
    load = load_of(prospects.draws, base, prospects.changes, one, gear=gear_of(after))
    sums = sums_for(after, changes, load)
    return Choice(
        line=line_of(prospects, weighed, at),
        changes=changes,
        predictions=predictions,
        parts=parts_of(prospects.machine, changes, sizes_in(sums)),
        sums=sums,
        alone=_alone(prospects, weighed, mask),
        constraints=constraints_of(after, changes),
        warnings=(*_warnings(changes, predictions), *_refused(sums)),
    )


def predictions_of(
    prospects: Prospects, targets: Sequence[Target], mask: int
) -> tuple[Prediction, ...]:
    """Every figure that can be told, before and after one set."""
    limits = {target.figure.id: target for target in targets}
    found = []
    for figure in FIGURES.values():
        if not any(figure.id in block.values for block in prospects.blocks.values()):
            continue
        target = limits.get(figure.id)
        if figure is STAYS_UP:
            target = Target(STAYS_UP, STAYS_UP.limit)
        now, then = prospects.of(figure.id, 0), prospects.of(figure.id, mask)
        found.append(
            Prediction(
                figure,
                _by_station(prospects, figure, 0, now),
                _by_station(prospects, figure, mask, then),
                None if target is None else float(holds(now, target).mean()),
                None if target is None else float(holds(then, target).mean()),
                interval(now),
                interval(then),
            )
        )
    return tuple(found)


def _by_station(
    prospects: Prospects, figure: Figure, mask: int, values: Vector
) -> Mapping[str, Interval]:
    if figure is not LOST_MOTION:
        return {AXIS: interval(values)}
    changes = members(mask, prospects.changes)
    base = base_of(prospects.draws.base, machine_changed(prospects.machine, changes))
    one = np.array([mask], dtype=np.int64)
    lost = ends_lost(prospects.draws, base, prospects.changes, one)[0]
    return {
        f"{base.arrangement.body}-{end}": interval(lost[:, k]) for k, end in enumerate(base.ends)
    }


def interval(values: Vector) -> Interval:
    """Median and central 90 % interval of equally likely values."""
    low, middle, high = np.quantile(values, LEVELS)
    return Interval(float(middle), float(low), float(high))


def _alone(prospects: Prospects, weighed: Weighed, mask: int) -> dict[str, float]:
    """By change, the probability of the set without it, where that set can be made."""
    out = {}
    for bit, change in enumerate(prospects.changes):
        if mask >> bit & 1:
            at = prospects.place(mask & ~(1 << bit))
            if at is not None:
                out[change.id] = float(weighed.probability[at])
    return out


def _refused(sums: Sequence[WorkedFor]) -> list[str]:
    """What the sums say no to, on what is known or assumed of this machine."""
    return [
        _refusal(one.sheet, verdict)
        for one in sums
        if one.sheet is not None
        for verdict in one.sheet.worked.verdicts
        if verdict.holds is False
    ]


def _refusal(sheet: Sheet, verdict: Verdict) -> str:
    """A no in words; one that rests on what nobody measured names the guesses."""
    said = f"The sum for {sheet.calculator.title.lower()} says no"
    guessed = [
        f"{one.asked.words}, {one.value:g} {one.asked.unit}".rstrip()
        for one in sheet.inputs
        if one.asked.name in verdict.uses
        and one.trust is Trust.GUESS
        and isinstance(one.value, int | float)
        and not one.asked.name.startswith("allowed_")  # what is wanted, not what is
    ]
    if not guessed:
        return f"{said}: {verdict.words}"
    return (
        f"{said}, but nobody measured what it rests on: {'; '.join(guessed)} (guesses). "
        f"With these: {verdict.words} Measure before you buy, and work this sum again."
    )


def _warnings(changes: Sequence[Change], predictions: Sequence[Prediction]) -> tuple[str, ...]:
    found = []
    for one in predictions:
        if one.figure is STAYS_UP and one.chance is not None and one.chance < SURELY_UP:
            found.append(
                f"With the motors off the moving part may run down by itself: it stays up in "
                f"{100 * one.chance:.0f} of 100 cases, as it is now in "
                f"{100 * (one.chance_before or 0.0):.0f}. Keep blocks under it when power is off."
            )
    if any(change.moves_zero for change in changes):
        found.append(
            "The zero moves: level the moving part and set the nozzle's height anew before "
            "anything is sent down."
        )
    printed = [part.name for change in changes for part in change.parts if part.printed]
    if printed:
        names = ", ".join(dict.fromkeys(name.lower() for name in printed))
        found.append(f"Print these before the printer is taken apart: {names}.")
    return tuple(found)
