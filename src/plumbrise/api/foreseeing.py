"""What a print will show, and what fits bands that were measured on one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plumbrise.api.explaining import Answer
from plumbrise.api.showing import text_block

if TYPE_CHECKING:
    from plumbrise.foresee import Forecast, Print
    from plumbrise.foresee.spacing import SpacingAnswer
    from plumbrise.machine import Machine


@dataclass(frozen=True, slots=True)
class ForecastAnswer:
    """What a print will show; `result` is the Forecast, `svg` the wall, its layers, its bands."""

    machine: Machine
    result: Forecast

    @property
    def svg(self) -> str:
        """The wall in section, the thickness of its layers and, where known, its bands."""
        from plumbrise.drawing.forecast_sheet import forecast_sheet

        return forecast_sheet(self.machine, self.result)

    def __str__(self) -> str:
        from plumbrise.report.foresee import forecast_text

        return forecast_text(self.machine, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise foresee --json` gives."""
        from plumbrise.files.forecast import forecast_dict

        return forecast_dict(self.result)


@dataclass(frozen=True, slots=True)
class BandsAnswer:
    """What fits bands that were measured on a print; `result` is the SpacingAnswer."""

    machine: Machine | None
    result: SpacingAnswer

    def __str__(self) -> str:
        from plumbrise.report.band_words import spacing_text

        return spacing_text(self.machine, self.result)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise foresee --spacing --json` gives."""
        from plumbrise.files.forecast import spacing_dict

        return spacing_dict(self.result)


def foresee(
    answer: Answer,
    job: Print | None = None,
    *,
    changes: Sequence[str] = (),
    seed: int = 0,
) -> ForecastAnswer:
    """What a print will show: layers, bands, and remedies that cost nothing.

    Args:
        answer: what `explain` gave.
        job: what is printed and how it starts, a `plumbrise.foresee.Print`; ten layers of 0.2 mm
            if left out.
        changes: foretell it as after these changes, by the ids that `plumbrise redesign --list`
            gives; what comes without them is in `result.before`.
        seed: the same seed gives the same forecast.

    Raises:
        InputError: the readings tell too little, the print does not fit the axis, or a change
            does not go with it.
    """
    import numpy as np

    from plumbrise.errors import InputError
    from plumbrise.foresee import Print
    from plumbrise.foresee import foresee as foreseen

    rng = np.random.default_rng(seed)
    job = Print() if job is None else job
    if changes:
        from plumbrise.redesign.foreseen import before_and_after, foresee_after

        believed = answer.result.believed
        if believed is None:
            raise InputError(
                place="changes",
                value="too few readings",
                allowed="readings that explain can answer from",
                remedy="Take the readings that `plan` proposes, then come back.",
            )
        axes = before_and_after(answer.machine, believed, changes, rng)
        return ForecastAnswer(axes.machine, foresee_after(axes, job, rng))
    result = foreseen(answer.machine, answer.result, job, rng=rng, readings=answer.readings)
    return ForecastAnswer(answer.machine, result)


def what_fits(
    spacing_mm: float,
    *,
    layer_mm: float = 0.2,
    layer_s: float | None = None,
    machine: Machine | None = None,
) -> BandsAnswer:
    """Bands were measured on a print, so many mm apart: what fits?

    Args:
        spacing_mm: from band to band; better over ten bands, divided by ten.
        layer_mm: of the print that shows them.
        layer_s: how long one layer took, for heaters.
        machine: whose screw, motor and rollers are tried; common ones if left out.

    Raises:
        InputError: a spacing, a layer or a time that is none.

    Example:
        >>> found = what_fits(8.0)
        >>> found.result.fits[0].maker.words
        'a screw with a lead of 8 mm, once a turn'
    """
    from plumbrise.foresee.spacing import what_fits as fitting

    answer = fitting(machine, spacing_mm=spacing_mm, layer_mm=layer_mm, layer_s=layer_s)
    return BandsAnswer(machine, answer)
