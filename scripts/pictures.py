"""Draw the manual's pictures from the invented machine.

.venv/bin/python scripts/pictures.py
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from plumbrise.analyse import RunAnalysis, analyse
from plumbrise.demo import scenario
from plumbrise.drawing import load_path, mark
from plumbrise.explain import explain
from plumbrise.readings import scale_of

PICTURES = Path(__file__).resolve().parents[1] / "docs" / "pictures"
WIDE, HIGH = 680, 300
LEFT, RIGHT, TOP, BOTTOM = 64, 24, 44, 52
INK, SOFT, HAIR, READ, TOLD = "#23282b", "#5b6367", "#cfd3d1", "#1f5f8b", "#a04a1c"

Points = Sequence[tuple[float, float]]


def chart(title: str, across: str, up: str, lines: Sequence[tuple[str, str, Points]]) -> str:
    """A small chart: one sentence, thin axes, a label at the end of each line."""
    xs = [x for _, _, points in lines for x, _ in points]
    ys = [y for _, _, points in lines for _, y in points] + [0.0]
    x0, x1, y0 = min(xs), max(xs), min(ys)
    y1 = max(ys) + 0.1 * (max(ys) - y0)

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            LEFT + (x - x0) / (x1 - x0) * (WIDE - LEFT - RIGHT - 110),
            HIGH - BOTTOM - (y - y0) / (y1 - y0) * (HIGH - TOP - BOTTOM),
        )

    made = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" '
        f'font-family="system-ui, sans-serif" font-size="13"><title>{title}</title>',
        f'<rect width="{WIDE}" height="{HIGH}" fill="#ffffff"/>',
        f'<text x="{LEFT - 48}" y="22" fill="{INK}" font-size="15">{title}</text>',
    ]
    for value in _ticks(y0, y1):
        _, y = at(x0, value)
        end = WIDE - RIGHT - 110
        made.append(f'<path d="M{LEFT} {y:.1f}H{end}" stroke="{HAIR}" stroke-width="0.7"/>')
        made.append(
            f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end" fill="{SOFT}">{value:g}</text>'
        )
    for value in _ticks(x0, x1):
        x, _ = at(value, 0)
        made.append(
            f'<text x="{x:.1f}" y="{HIGH - BOTTOM + 20}" text-anchor="middle" fill="{SOFT}">'
            f"{value:g}</text>"
        )
    made.append(
        f'<text x="{WIDE - RIGHT - 110}" y="{HIGH - 10}" text-anchor="end" fill="{SOFT}">'
        f"{across}</text>"
    )
    made.append(f'<text x="{LEFT - 48}" y="{TOP - 4}" fill="{SOFT}" font-size="12">{up}</text>')
    for name, colour, points in lines:
        places = [at(x, y) for x, y in points]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        made.append(f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="1"/>')
        made += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{colour}"/>' for x, y in places]
        end_x, end_y = max(places)
        made.append(f'<text x="{end_x + 8:.1f}" y="{end_y + 4:.1f}" fill="{colour}">{name}</text>')
    return "\n".join([*made, "</svg>"]) + "\n"


def _ticks(low: float, high: float) -> list[float]:
    step = next(s for s in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100) if (high - low) / s <= 5)
    first = int(np.ceil(low / step - 1e-9))
    return [round(i * step, 6) for i in range(first, int(high / step + 1e-9) + 1)]


def behind(one: RunAnalysis) -> list[list[tuple[float, float]]]:
    """Told height against how far the station is behind, a list for each pass; readings that
    were set aside are left out."""
    start = one.run.readings[0].target_mm
    passes: list[list[tuple[float, float]]] = []
    last = ""
    for reading, read in zip(one.run.readings, one.mended_mm, strict=True):
        if read is None:
            continue
        turned = reading.approach != last and len(passes[-1:]) and len(passes[-1]) > 1
        if not passes or turned:
            passes.append([])
        last = reading.approach
        passes[-1].append((reading.target_mm, reading.target_mm - start - read))
    return passes


def pictures() -> dict[str, str]:
    """Name of each picture -> its SVG."""
    invented = scenario()
    analysis = analyse(invented.readings, scale_of(invented.machine))
    runs = {one.run.name: one for one in analysis.runs}
    explanation = explain(invented.machine, invented.readings, rng=np.random.default_rng(0))
    left, right = runs["coarse-steps gantry-left"], runs["coarse-steps gantry-right"]
    loop = runs["reversal gantry-left"]
    marking = mark(invented.machine, invented.readings, explanation, analysis)
    return {
        "staircase.svg": chart(
            "After a home from above the gantry falls behind, and then keeps its distance.",
            "told height, mm",
            "behind, mm",
            [("left end", READ, behind(left)[0]), ("right end", TOLD, behind(right)[0])],
        ),
        "reversal.svg": chart(
            "On the way up the gantry stays low, on the way down it stays high.",
            "told height, mm",
            "behind since the first reading, mm",
            [
                (name, colour, points)
                for name, colour, points in zip(
                    ("up", "down", "up again"), (READ, TOLD, READ), behind(loop), strict=False
                )
            ],
        ),
        "load-path.svg": load_path(invented.machine, marking, theme="light"),
    }


if __name__ == "__main__":
    for name, svg in pictures().items():
        (PICTURES / name).write_text(svg, encoding="utf-8", newline="\n")
