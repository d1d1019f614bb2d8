"""Prospects as one person's workshop has them: what is ruled out left out, what is there free."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.workshop import Workshop


def suited(prospects: Prospects, workshop: Workshop) -> Prospects:
    """The same axes and effects with this workshop's prices, and only the sets it can make.

    Sets of changes that were worked out for every workshop serve each: nothing is simulated anew.

    Args:
        prospects: worked out for a workshop that rules nothing out.
        workshop: prices, parts and tools at hand, changes ruled out.
    """
    own = {change.id: change for change in workshop.changes_for(prospects.machine)}
    ruled_out = sum(1 << bit for bit, c in enumerate(prospects.changes) if c.id not in own)
    return replace(
        prospects,
        changes=tuple(own.get(change.id, change) for change in prospects.changes),
        masks=prospects.masks[(prospects.masks & ruled_out) == 0],
    )
