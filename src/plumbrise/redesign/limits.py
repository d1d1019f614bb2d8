"""What stands in the way where no set within the budget is likely enough, in words."""

from __future__ import annotations

import numpy as np

from plumbrise.explain import CAUSES
from plumbrise.quantity import percent
from plumbrise.redesign.blocks import alters
from plumbrise.redesign.choosing import Weighed, holds, likeliest
from plumbrise.redesign.pricing import Prices
from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.sets import members
from plumbrise.redesign.worth import met_by_draw

MATTERS = 0.15
"""A cause is named where it is there so much less often in the draws that miss the targets."""


def limit_words(
    prospects: Prospects,
    weighed: Weighed,
    prices: Prices,
    at: int,
    probability: float,
    budget: float | None,
    currency: str,
    *,
    taken: bool = False,
) -> str:
    """Which target fails most often with the likeliest set, and whether more money would help; or
    what stands against the set that is `taken`."""
    if not weighed.targets:
        return "These readings say nothing of the figures that were asked for."
    mask = int(prospects.masks[at])
    chances = {
        target: float(holds(prospects.of(target.figure.id, mask), target).mean())
        for target in weighed.targets
    }
    worst = min(chances, key=lambda target: chances[target])
    p = float(weighed.probability[at])
    words = []
    if p < probability:
        words.append(
            f"{'This' if taken else 'The likeliest'} set meets all targets with {percent(p)}, and "
            f"{100 * probability:.3g} % is asked. What fails most often is {worst.words}: it holds "
            f"with {percent(chances[worst])}."
        )
    if taken and budget is not None and prices.money[at] > budget:
        words.append(
            f"It costs about {prices.money[at]:.0f} {currency}, and {budget:g} may be spent."
        )
    elif budget is not None and not taken:
        everything = np.ones(len(prospects.masks), dtype=bool)
        best = likeliest(prices.total, weighed, everything)
        if weighed.probability[best] > p:
            words.append(
                f"Without a bound on money a set of about {prices.money[best]:.0f} {currency} "
                f"reaches {percent(float(weighed.probability[best]))}."
            )
        else:
            words.append("More money for other sets would not help.")
    doubts = _doubted(prospects, weighed, at, mask) if p < probability else []
    if doubts:
        words.append(
            f"Part of it is doubt about causes: {', '.join(doubts)}. Where one of these is not the "
            "reason after all, what is done against it does nothing."
        )
    return " ".join(words)


def _doubted(prospects: Prospects, weighed: Weighed, at: int, mask: int) -> list[str]:
    """The causes that this set works against and that are missing more often where it fails."""
    met = met_by_draw(prospects, weighed.targets, np.array([at]))[0]
    if met.all() or not met.any():
        return []
    blocks = {target.figure.block for target in weighed.targets}
    against = {
        effect.cause
        for change in members(mask, prospects.changes)
        if any(alters(change, block) for block in blocks)
        for effect in change.effects
    }
    return [
        CAUSES[cause].title.lower()
        for cause, meant in prospects.draws.meant.items()
        if cause in against and meant[met].mean() - meant[~met].mean() > MATTERS
    ]
