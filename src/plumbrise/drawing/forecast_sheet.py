"""All figures of a forecast on one sheet: the wall, its layers, its bands."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.band_chart import band_chart
from plumbrise.drawing.layer_chart import layer_chart
from plumbrise.drawing.tokens import theme_named
from plumbrise.drawing.wall_section import HEIGHT_PX, Wall, wall_of, wall_section
from plumbrise.foresee import Forecast
from plumbrise.machine import Machine

CHART_PX = 300.0
GAP_PX = 12.0


def forecast_sheet(
    machine: Machine,
    forecast: Forecast,
    *,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "foresee-",
) -> str:
    """The wall in section, the thickness of its layers and, where known, its bands.

    Raises:
        KeyError: no such theme.
    """
    walls = walls_of(machine, forecast)
    made = [
        wall_section(walls, theme=theme, width_px=width_px, prefix=f"{prefix}wall-"),
        layer_chart(forecast, theme=theme, width_px=width_px, prefix=f"{prefix}layers-"),
    ]
    heights = [HEIGHT_PX, CHART_PX]
    if forecast.bands is not None:
        made.append(
            band_chart(
                forecast.bands,
                forecast.job.layer_mm,
                theme=theme,
                width_px=width_px,
                prefix=f"{prefix}bands-",
            )
        )
        heights.append(CHART_PX)
    shifted, top = [], 0.0
    for drawing, height in zip(made, heights, strict=True):
        shifted.append(svg.group([drawing], transform=f"translate(0 {svg.number(top)})"))
        top += height + GAP_PX
    return svg.sheet(
        shifted,
        width_px=width_px,
        height_px=top,
        prefix=prefix,
        title="What the print will show",
        description="The wall in section, the thickness of its layers, and its bands.",
        background=theme_named(theme).sheet,
    )


def walls_of(machine: Machine, forecast: Forecast) -> tuple[Wall, ...]:
    """The walls of a forecast: at each place as it is, and where the part stands after the best
    remedy that costs nothing."""
    width, last = forecast.job.width_mm, forecast.places[-1]
    walls = [
        wall_of(forecast.layers, place, place_words(machine, place), width)
        for place in forecast.places
    ]
    if forecast.remedies:
        best = forecast.remedies[0]
        walls.append(wall_of(best.layers, last, "With the best remedy", width))
    return tuple(walls)


def place_words(machine: Machine, place: str) -> str:
    """A place of the print as a drawing names it."""
    if place == "part":
        return "At the part"
    return f"{place[0].upper()}{place[1:]} end of the {machine.arrangement.body}"
