"""What redesign would do next, worked out again from the last stage of a pack."""

from __future__ import annotations

from typing import Any

from plumbrise.errors import InputError
from plumbrise.explain.results import Explanation
from plumbrise.files.archive import shown
from plumbrise.files.pack import Pack
from plumbrise.files.pack_again import NEAR, OTHER, SAME, Agreement, differences
from plumbrise.files.pack_names import Json
from plumbrise.machine import Machine
from plumbrise.redesign import redesign, targets_of

NEAR_PROBABILITY, NEAR_SHARE = 0.05, 0.15
"""By how much chances, money and hours may differ where draws fall otherwise."""
CHANCES, AMOUNTS = ("probability", "already"), ("cost", "hours")
MOST_NAMED = 12


def onward_in(pack: Pack) -> Json | None:
    """What the pack says that redesign would do next; None where it does not say."""
    proofs = pack.proof.get("proofs") if pack.proof is not None else None
    last = proofs[-1] if isinstance(proofs, list) and proofs else None
    told = last.get("onward") if isinstance(last, dict) else None
    return told if isinstance(told, dict) else None


def onward_again(told: Json, machine: Machine, explanation: Explanation) -> Agreement:
    """Whether redesign says the same of the last stage: for the usual targets, with the usual
    prices, from the same seed. Which targets, prices and seed a pack was made with it does not
    tell, and the step may turn on them, so "other" is no reproach.

    Args:
        told: what the pack says.
        machine: of the last stage.
        explanation: of it, made anew.
    """
    import numpy as np

    try:
        proposal = redesign(machine, explanation, targets_of(), rng=np.random.default_rng(0))
    except InputError:
        return Agreement(OTHER, ("no step can be worked out here",))
    if proposal.chosen is None:
        return Agreement(OTHER, ("no set meets the usual targets here",))
    line = proposal.chosen.line
    return agreement(
        told,
        {
            "changes": list(line.changes),
            "cost": line.cost.expected,
            "currency": proposal.currency,
            "hours": line.hours.expected,
            "probability": line.probability,
            "already": proposal.met_already,
        },
    )


def agreement(told: Json, now: Json) -> Agreement:
    """Two steps against each other: the same numbers, the same step by chances, money and hours
    that draws may make of it, or another.

    Example:
        >>> step = {"changes": ["new-nut"], "cost": 12.0, "hours": 1.0}
        >>> step |= {"currency": "EUR", "probability": 0.7, "already": 0.2}
        >>> agreement(step, step | {"probability": 0.68}).verdict
        'near'
    """
    if told.get("changes") != now["changes"]:
        was, is_now = _named(told.get("changes")), _named(now["changes"])
        return Agreement(OTHER, (f"{was} in the pack, {is_now} here",))
    found = tuple(differences(told, now))
    if not found and told.get("currency") == now["currency"]:
        return Agreement(SAME)
    near = (
        told.get("currency") == now["currency"]
        and all(_close(told.get(key), now[key], NEAR_PROBABILITY) for key in CHANCES)
        and all(_close(told.get(key), now[key], NEAR_SHARE * abs(now[key])) for key in AMOUNTS)
    )
    return Agreement(NEAR if near else OTHER, found)


def _named(changes: Any) -> str:
    names = changes if isinstance(changes, list) else []
    said = ", ".join(shown(str(one).encode("utf-8", "replace")) for one in names[:MOST_NAMED])
    return said or "nothing"


def _close(packed: Any, now: float, apart: float) -> bool:
    if isinstance(packed, bool) or not isinstance(packed, int | float):
        return False
    return now - apart <= packed <= now + apart
