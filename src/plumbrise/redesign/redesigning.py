"""From a machine and what its readings say to a proposal."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from plumbrise.errors import InputError
from plumbrise.explain import Explanation
from plumbrise.machine import Machine
from plumbrise.redesign.axes import drawn
from plumbrise.redesign.choosing import cheapest, front, likeliest, weigh
from plumbrise.redesign.figures import FIGURES, Target
from plumbrise.redesign.limits import limit_words
from plumbrise.redesign.predicting import choice_of, line_of
from plumbrise.redesign.pricing import priced
from plumbrise.redesign.prospects import Prospects, prospects_of
from plumbrise.redesign.results import Proposal
from plumbrise.redesign.workshop import MOST_MONEY, Workshop
from plumbrise.redesign.worth import worths_of

PROBABILITY = 0.7
"""How sure a set must be to meet the targets, unless a person asks otherwise: causes are seldom
stated with more than 0.85, and what they leave open counts against every set."""


def redesign(
    machine: Machine,
    explanation: Explanation,
    targets: Sequence[Target],
    *,
    rng: np.random.Generator,
    probability: float = PROBABILITY,
    budget: float | None = None,
    workshop: Workshop | None = None,
    taken: Collection[str] | None = None,
) -> Proposal:
    """Which changes reach the targets for the least money.

    Every set of changes that can be made on this machine is looked at, each on the same axes
    drawn from what is believed, with the same strength of each change's effects.

    Args:
        machine: the axis as it is.
        explanation: what its readings say.
        targets: figures and the most they may be.
        rng: all chance comes from here.
        probability: how sure the chosen set must be to meet all targets.
        budget: most money, 0 to 1 000 000; None for no bound.
        workshop: prices, parts and tools at hand, changes ruled out, the worth of an hour.
        taken: the set that a person takes instead of the cheapest that does.

    Raises:
        InputError: the readings tell too little to say what a change would do, or what is taken
            cannot be made on this machine.
    """
    prospects = prospects_for(machine, explanation, rng=rng, workshop=workshop)
    return propose(
        prospects,
        targets,
        rng=rng,
        probability=probability,
        budget=budget,
        workshop=workshop,
        explanation=explanation,
        taken=taken,
    )


def prospects_for(
    machine: Machine,
    explanation: Explanation,
    *,
    rng: np.random.Generator,
    workshop: Workshop | None = None,
) -> Prospects:
    """What every set of changes would make of this axis, worked out once for any targets.

    Raises:
        InputError: the readings tell too little to say what a change would do.
    """
    if explanation.believed is None:
        raise InputError(
            place="readings",
            value="too few to say what the axis loses",
            allowed="a table that explain can answer from",
            remedy="Take the readings that `plumbrise plan` proposes, then come back.",
        )
    changes = (workshop or Workshop()).changes_for(machine)
    draws = drawn(explanation.believed, changes, rng)
    return prospects_of(machine, draws, changes, frozenset(FIGURES))


def propose(
    prospects: Prospects,
    targets: Sequence[Target],
    *,
    rng: np.random.Generator,
    probability: float = PROBABILITY,
    budget: float | None = None,
    workshop: Workshop | None = None,
    explanation: Explanation | None = None,
    taken: Collection[str] | None = None,
) -> Proposal:
    """Choose among prospects that are worked out, or put what is `taken` in full; with
    `explanation` its next tests are weighed against buying at once.

    Raises:
        InputError: what is taken cannot be made on this machine.
    """
    workshop = workshop or Workshop()
    _refuse_senseless(probability, budget, workshop.hour_worth)
    own = None if taken is None else prospects.bits_of(taken)
    prospects = prospects.narrowed(frozenset(t.figure.id for t in targets), also=own or 0)
    price = priced(prospects, workshop.hour_worth)
    weighed = weigh(prospects, targets)
    within = np.ones(len(prospects.masks), dtype=bool)
    if budget is not None:
        within = price.money <= budget
    chosen = cheapest(price.total, weighed, within, probability) if weighed.targets else None
    at = likeliest(price.total, weighed, within) if chosen is None else chosen
    if own is not None:
        at = _place_of(prospects, own)
        does = bool(weighed.targets) and weighed.probability[at] >= probability
        chosen = at if does and within[at] else None
    stands = front(price.total, weighed, within)
    worths, perfect = worths_of(prospects, weighed, price, stands, explanation, rng)
    return Proposal(
        targets=tuple(targets),
        probability=probability,
        budget=budget,
        hour_worth=workshop.hour_worth,
        currency=workshop.currency,
        front=tuple(line_of(prospects, weighed, int(i)) for i in stands),
        chosen=choice_of(prospects, weighed, at) if weighed.targets else None,
        free=line_of(prospects, weighed, likeliest(price.total, weighed, price.money == 0))
        if weighed.targets
        else None,
        reachable=chosen is not None,
        met_already=float(weighed.probability[0]),
        limited_by=""
        if chosen is not None
        else limit_words(
            prospects,
            weighed,
            price,
            at,
            probability,
            budget,
            workshop.currency,
            taken=own is not None,
        ),
        worths=worths,
        perfect_saves=perfect,
        untold={
            t.figure.id: prospects.untold[t.figure.id]
            for t in targets
            if t.figure.id in prospects.untold
        },
        looked_at=len(prospects.masks),
        draws=prospects.draws.count,
        taken=own is not None,
        remarks=workshop.remarks(prospects.machine),
    )


def _place_of(prospects: Prospects, mask: int) -> int:
    at = prospects.place(mask)
    if at is None:
        names = [change.id for bit, change in enumerate(prospects.changes) if mask >> bit & 1]
        raise InputError(
            place="changes taken",
            value=", ".join(names),
            allowed="a set that can be made together",
            remedy="One of them excludes another, or needs one that is not there.",
        )
    return at


def _refuse_senseless(probability: float, budget: float | None, hour_worth: float) -> None:
    """Refuse what is no share, and no amount of money."""
    for place, value, most in (
        ("probability", probability, 1.0),
        ("budget", budget, MOST_MONEY),
        ("hour worth", hour_worth, MOST_MONEY),
    ):
        if value is not None and not 0 <= value <= most:  # nan is neither
            raise InputError(
                place=place, value=value, allowed=f"0 to {most:g}", remedy="Correct it."
            )
