"""How a wall swings over its height: the strongest waves as layers of this height show them."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi

from plumbrise.drawing.chart import Curve, Plot, drawn
from plumbrise.drawing.tokens import theme_named
from plumbrise.foresee.bands import THRESHOLDS, Band, Bands

MOST_WAVES = 3
PERIODS_SHOWN = 3
LEAST_MM, MOST_MM = 4.0, 40.0
MOST_LAYERS = 700


def band_chart(
    bands: Bands,
    layer_mm: float,
    *,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "bands-",
) -> str:
    """Each side of the wall over the height, µm, layer by layer; where a wave begins is not
    foretold, only how far it swings and how far its bands stand apart.

    Raises:
        KeyError: no such theme.
    """
    shown = [wave for wave in bands.waves if wave.seen.visible_mm is not None][:MOST_WAVES]
    look = theme_named(theme)
    if not shown:
        plot = Plot("How the wall swings over the height", "height, mm", "wall, µm")
        return drawn(plot, look, width_px, prefix)
    longest = max(wave.seen.visible_mm or 0.0 for wave in shown)
    high = min(MOST_MM, max(LEAST_MM, PERIODS_SHOWN * longest), MOST_LAYERS * layer_mm)
    heights = [k * layer_mm for k in range(int(high / layer_mm) + 1)]  # every layer, none between
    total = tuple((z, 1000 * _swing(shown, z)) for z in heights)
    seen = next(one for one in THRESHOLDS if one.id == "seen")
    plot = Plot(
        "How the wall swings over the height",
        "height, mm",
        "wall, µm",
        curves=(Curve(total, computed=True),),
        level=1000 * seen.from_mm,
        level_name=f"from {1000 * seen.from_mm:g} µm {seen.words}",
    )
    return drawn(plot, look, width_px, prefix)


def _swing(waves: Sequence[Band], height: float) -> float:
    return sum(
        wave.wall_mm.estimate * cos(2 * pi * height / wave.seen.visible_mm)
        for wave in waves
        if wave.seen.visible_mm
    )
