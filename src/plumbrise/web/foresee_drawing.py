"""The pictures of the foresee sheet: the wall in section, its layers, its bands."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.drawing.band_chart import band_chart
from plumbrise.drawing.forecast_sheet import walls_of
from plumbrise.drawing.layer_chart import layer_chart
from plumbrise.drawing.wall_section import wall_section
from plumbrise.foresee import Forecast
from plumbrise.machine import Machine
from plumbrise.web.picture import Picture, picture

WALL_PX, CHART_PX = 800, 400


@dataclass(frozen=True, slots=True)
class Pictures:
    """`bands` is None where no wave shows on these layers, or none can be told."""

    wall: Picture
    layers: Picture
    bands: Picture | None


def pictures_of(machine: Machine, forecast: Forecast) -> Pictures:
    """All pictures of a forecast."""
    bands, height = forecast.bands, forecast.job.layer_mm
    walls = walls_of(machine, forecast)
    shown = bands is not None and any(w.seen.visible_mm is not None for w in bands.waves)
    return Pictures(
        wall=picture(
            "wall",
            lambda prefix, width: wall_section(walls, width_px=width, prefix=prefix),
            wide_px=WALL_PX,
        ),
        layers=picture(
            "layers",
            lambda prefix, width: layer_chart(forecast, width_px=width, prefix=prefix),
            wide_px=CHART_PX,
        ),
        bands=picture(
            "bands",
            lambda prefix, width: band_chart(bands, height, width_px=width, prefix=prefix),
            wide_px=CHART_PX,
        )
        if bands is not None and shown
        else None,
    )
