"""From an axis to what it prints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from plumbrise.errors import InputError
from plumbrise.explain import Explanation
from plumbrise.explain.witness import BREATH
from plumbrise.foresee.axes import DRAWS, Axes, axes_of
from plumbrise.foresee.bands import Bands
from plumbrise.foresee.heights import PART, Heights, heights
from plumbrise.foresee.layers import interval, layers_of, scatter_mm, settled_from
from plumbrise.foresee.printing import Print
from plumbrise.foresee.remedies import remedies_for
from plumbrise.foresee.results import Forecast
from plumbrise.foresee.staircase import heights_from, staircases
from plumbrise.foresee.waves import bands_of
from plumbrise.machine import STATIONS, Machine
from plumbrise.readings import Readings

Rng = np.random.Generator

STAIRCASE = "staircase"
"""Source of a forecast straight from readings."""
LEVEL_BED = (
    "the bed is level with the beam as that stands when homing ends, and the offset was set "
    "in that state"
)
FEED = "the feed is that of the told layer, and beads spread to both sides alike"
DRAG = f"drag differs by {100 * BREATH:.0f} % from print to print"
NO_CREEP = "clamps hold: what a slipping clamp would add is not counted"


def foresee(
    machine: Machine,
    explanation: Explanation,
    job: Print,
    *,
    rng: Rng,
    readings: Readings | None = None,
    count: int = DRAWS,
) -> Forecast:
    """What this axis will print, as far as its readings tell.

    Args:
        machine: the axis as described.
        explanation: what its readings say.
        job: what is printed, and how it starts.
        rng: all chance comes from here.
        readings: the readings themselves, for where they explain nothing.
        count: axes drawn.

    Raises:
        InputError: the readings tell too little; the print does not fit the axis.
    """
    if explanation.believed is None:
        if readings is not None:
            return foresee_from_readings(machine, readings, job, rng=rng, count=count)
        raise _too_little()
    made = foresee_on(machine, axes_of(explanation.believed, rng, count), job, rng=rng)
    return replace(made, computed=_computed(explanation, made))


def _computed(explanation: Explanation, made: Forecast) -> tuple[str, ...]:
    """The places of a forecast that no reading of their end bears out; the part's place stands on
    all ends."""
    read = {STATIONS[one.station].side for one in explanation.sides if one.measured}
    unread = {STATIONS[one.station].side for one in explanation.sides} - read
    return tuple(p for p in made.places if p in unread or (p == PART and unread))


def foresee_on(
    machine: Machine,
    axes: Axes,
    job: Print,
    *,
    rng: Rng,
    source: str = "explanation",
    remedies: bool = True,
) -> Forecast:
    """What these axes will print: those believed, or those after a change; with remedies, unless
    nobody will see them.

    Raises:
        InputError: the print does not fit the axis.
    """
    seed = int(rng.integers(2**31))

    def laid(other: Print) -> Heights:
        return heights(axes, other, np.random.default_rng(seed))

    untold = []
    if axes.home_sd_mm is None:
        untold.append(
            "how far layer one differs from print to print, since homing was not repeated"
        )
    return _forecast(
        machine,
        job,
        laid,
        rng,
        source=source,
        home_known=axes.home_sd_mm is not None,
        bands=bands_of(axes, job),
        cannot_tell=tuple(untold),
        assumed=(LEVEL_BED, FEED, DRAG, NO_CREEP),
        remedies=remedies,
    )


def foresee_from_readings(
    machine: Machine, readings: Readings, job: Print, *, rng: Rng, count: int = DRAWS
) -> Forecast:
    """What a staircase that was read says of a print, without a model of the axis.

    Raises:
        InputError: no staircase at an end of the moving part; the print does not fit the axis.
    """
    read = staircases(machine, readings)
    if not read:
        raise _too_little()
    seed = int(rng.integers(2**31))

    def laid(other: Print) -> Heights:
        return heights_from(machine, read, other, np.random.default_rng(seed), count)

    untold = ["how far layer one differs from print to print", "bands"]
    for end in machine.arrangement.ends:
        if end not in read:
            untold.append(f"what the {end} end prints, and so the part's place")
    if job.probe_n:
        untold.append("by how much a force at the end of homing lowers layer one")
    reach = min(one.risen_mm[-1] for one in read.values())
    return _forecast(
        machine,
        job,
        laid,
        rng,
        source=STAIRCASE,
        home_known=False,
        bands=None,
        cannot_tell=tuple(untold),
        assumed=(
            LEVEL_BED,
            FEED,
            f"above {reach:g} mm, where the staircase ended, nothing more is lost",
            "what was lost from home is lost again after every turn, wherever it is",
            "what the gauge itself loses on a turn is counted as lost by the axis",
            DRAG,
        ),
    )


def _forecast(
    machine: Machine,
    job: Print,
    laid: Callable[[Print], Heights],
    rng: Rng,
    *,
    source: str,
    home_known: bool,
    bands: Bands | None,
    cannot_tell: tuple[str, ...],
    assumed: tuple[str, ...],
    remedies: bool = True,
) -> Forecast:
    made = laid(job)
    layers = layers_of(made, rng)
    top = made.foretold_mm[:, -1].mean(axis=-1) - (job.told_mm(job.layers) - job.offset_mm)
    return Forecast(
        job=job,
        source=source,
        places=made.places,
        layers=layers,
        total_mm={place: interval(top[:, p]) for p, place in enumerate(made.places)},
        scatter_mm=scatter_mm(made, home_known=home_known),
        settled=settled_from(layers),
        bands=bands,
        remedies=remedies_for(machine, job, laid, bands) if remedies else (),
        cannot_tell=cannot_tell,
        assumed=assumed,
    )


def _too_little() -> InputError:
    return InputError(
        place="readings",
        value="too few to say what the axis loses",
        allowed="a table that explain can answer from, or a staircase at an end",
        remedy="Take a fine-steps run at each end, then come back.",
    )
