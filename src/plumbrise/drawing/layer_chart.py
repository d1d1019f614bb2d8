"""How thick layers one to ten come out, at each place, with intervals."""

from __future__ import annotations

from plumbrise.drawing.chart import Curve, Plot, Point, drawn
from plumbrise.drawing.tokens import theme_named
from plumbrise.foresee import Forecast

SHAPES = {"left": "disc", "right": "square", "back": "diamond", "part": "cross"}
NORMAL_95_OVER_90 = 1.96 / 1.645
MOST_LAYERS = 12


def layer_chart(
    forecast: Forecast, *, theme: str = "light", width_px: int = 700, prefix: str = "layers-"
) -> str:
    """Thickness of the first layers over their number; whiskers are 95 %.

    Raises:
        KeyError: no such theme.
    """
    points: list[Point] = []
    curves: list[Curve] = []
    key: list[tuple[str, Point]] = []
    for place in forecast.places:
        if place == "part" and len(forecast.places) > 2:
            continue  # between the ends, and drawn in the wall
        shape = SHAPES.get(place, "disc")
        way = []
        for layer in forecast.layers[:MOST_LAYERS]:
            gap = layer.at[place].gap_mm
            half = (gap.high - gap.low) / 2 * NORMAL_95_OVER_90
            way.append((float(layer.number), gap.estimate))
            points.append(Point(float(layer.number), gap.estimate, half, shape, hollow=True))
        curves.append(Curve(tuple(way), computed=True))
        key.append((place, Point(0, 0, shape=shape, hollow=True)))
    told = forecast.job.layer_mm
    curves.append(Curve(((0.0, told),)))  # draws nothing, and lets the axis begin at 0
    plot = Plot(
        "Thickness of the first layers",
        "layer",
        "thickness, mm",
        tuple(points),
        tuple(curves),
        level=told,
        level_name=f"told {told:g} mm",
        key=tuple(key),
    )
    return drawn(plot, theme_named(theme), width_px, prefix)
