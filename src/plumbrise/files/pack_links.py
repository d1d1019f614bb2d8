"""What the links of a stage lose, as the results in a pack tell it. A pack is another person's:
what is no link is passed over."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from plumbrise.explain import HowKnown, Interval, LinkLoss
from plumbrise.files.pack import Stage


def links_in(stage: Stage) -> list[LinkLoss]:
    """The links of a stage's explanation."""
    explanation = stage.results.get("explanation")
    links = explanation.get("links") if isinstance(explanation, dict) else None
    return [
        LinkLoss(
            str(one.get("link")),
            str(one.get("side")),
            dict(_intervals(one.get("loss_interval_mm"))),
            HowKnown.COMPUTED,
            tuple(map(str, shared)) if isinstance(shared := one.get("shared_with"), list) else (),
            dict(_intervals(one.get("together_mm"))),
        )
        for one in (links if isinstance(links, list) else ())
        if isinstance(one, dict)
    ]


def _intervals(told: Any) -> Iterator[tuple[str, Interval]]:
    for station, one in told.items() if isinstance(told, dict) else ():
        keys = ("estimate", "low", "high", "level")
        numbers = [one.get(key) for key in keys] if isinstance(one, dict) else []
        known = [float(x) for x in numbers if isinstance(x, (int, float))]
        if len(known) == len(keys):
            yield str(station), Interval(*known)
