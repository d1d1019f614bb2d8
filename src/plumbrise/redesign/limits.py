"""What stands in the way where no set within the budget is likely enough, in words."""

from __future__ import annotations

import numpy as np

from plumbrise.quantity import percent
from plumbrise.redesign.choosing import Weighed, holds, likeliest
from plumbrise.redesign.pricing import Prices
from plumbrise.redesign.prospects import Prospects


def limit_words(
    prospects: Prospects,
    weighed: Weighed,
    prices: Prices,
    at: int,
    probability: float,
    budget: float | None,
    currency: str,
) -> str:
    """Which target fails most often with the likeliest set, and whether more money would help."""
    if not weighed.targets:
        return "These readings say nothing of the figures that were asked for."
    mask = int(prospects.masks[at])
    chances = {
        target: float(holds(prospects.of(target.figure.id, mask), target).mean())
        for target in weighed.targets
    }
    worst = min(chances, key=lambda target: chances[target])
    p = float(weighed.probability[at])
    words = [
        f"The likeliest set meets all targets with {percent(p)}, and {100 * probability:.3g} % is "
        f"asked. What fails most often is {worst.words}: it holds with {percent(chances[worst])}."
    ]
    if budget is not None:
        everything = np.ones(len(prospects.masks), dtype=bool)
        best = likeliest(prices.total, weighed, everything)
        if weighed.probability[best] > p:
            words.append(
                f"Without a bound on money a set of about {prices.money[best]:.0f} {currency} "
                f"reaches {percent(float(weighed.probability[best]))}."
            )
        else:
            words.append("More money for other sets would not help.")
    short = [c for c, keep in prospects.draws.meant.items() if keep.mean() < probability]
    if short:
        words.append(
            "Part of it is doubt about the causes: what the readings leave open counts as a "
            "change that does nothing."
        )
    return " ".join(words)
