"""From an axis to what it prints."""

from __future__ import annotations

import numpy as np

from plumbrise.errors import InputError
from plumbrise.explain import Explanation
from plumbrise.foresee.axes import DRAWS, Axes, axes_of
from plumbrise.foresee.heights import heights
from plumbrise.foresee.layers import interval, layers_of, scatter_mm, settled_from
from plumbrise.foresee.printing import Print
from plumbrise.foresee.results import Forecast


def foresee(
    explanation: Explanation,
    job: Print,
    *,
    rng: np.random.Generator,
    count: int = DRAWS,
) -> Forecast:
    """What this axis will print, as far as its readings tell.

    Args:
        explanation: what its readings say.
        job: what is printed, and how it starts.
        rng: all chance comes from here.
        count: axes drawn.

    Raises:
        InputError: the readings tell too little; the print does not fit the axis.
    """
    if explanation.believed is None:
        raise InputError(
            place="readings",
            value="too few to say what the axis loses",
            allowed="a table that explain can answer from, or a staircase at an end",
            remedy="Take a fine-steps run at each end, then come back.",
        )
    return foresee_on(axes_of(explanation.believed, rng, count), job, rng=rng)


def foresee_on(
    axes: Axes,
    job: Print,
    *,
    rng: np.random.Generator,
    source: str = "explanation",
) -> Forecast:
    """What these axes will print: those believed, or those after a change."""
    made = heights(axes, job, rng)
    layers = layers_of(made, rng)
    top = made.print_mm[:, -1].mean(axis=-1) - job.told_mm(job.layers) + job.offset_mm
    return Forecast(
        job=job,
        source=source,
        places=made.places,
        layers=layers,
        total_mm={place: interval(top[:, p]) for p, place in enumerate(made.places)},
        scatter_mm=scatter_mm(made, home_known=axes.home_sd_mm is not None),
        settled=settled_from(layers),
        bands=None,
        remedies=(),
        cannot_tell=(),
        assumed=(),
    )
