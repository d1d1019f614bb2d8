"""Which reading of a test would mean which cause, said before it is read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.causes import CAUSES
from plumbrise.measure.setups import SetUp

Vector = NDArray[np.float64]

LEADING = 4
CLEAR_MM = 0.01
CLEAR_SHARE = 0.2
"""Sizes nearer than this, or than this share of themselves, are not told apart in words."""


def meaning_by_size(
    size: Vector, of_class: NDArray[np.int64], weight: Vector, names: Sequence[frozenset[str]]
) -> str:
    """Which size of the change would mean which leading set, empty where sizes overlap.

    Example:
        >>> size, of_class = np.array([0.2, 0.22, 0.01, 0.012]), np.array([0, 0, 1, 1])
        >>> sets = [frozenset({"motor-seat"}), frozenset({"bracket-flex"})]
        >>> meaning_by_size(size, of_class, np.full(4, 0.25), sets).startswith("More than 0.2")
        True
    """
    total = np.array([weight[of_class == c].sum() for c in range(len(names))])
    leading = [int(c) for c in np.argsort(-total)[:LEADING] if total[c] > 0.05]
    spans = sorted(
        (
            float(np.quantile(size[of_class == c], 0.1)),
            float(np.quantile(size[of_class == c], 0.9)),
            c,
        )
        for c in leading
    )
    best = (CLEAR_MM, 0)
    for cut in range(1, len(spans)):
        gap = min(s[0] for s in spans[cut:]) - max(s[1] for s in spans[:cut])
        best = max(best, (gap, cut))
    gap, cut = best
    if cut == 0 or gap < CLEAR_SHARE * max(s[1] for s in spans[:cut]):
        return ""
    low, high = max(s[1] for s in spans[:cut]), min(s[0] for s in spans[cut:])
    below = [names[c] for _, _, c in spans[:cut]]
    above = [names[c] for _, _, c in spans[cut:]]
    small, large = _only_in(below, above), _only_in(above, below)
    if not small or not large:
        return ""
    return f"More than {high:.2f} mm: {large}; less than {low:.2f} mm: {small}."


def _only_in(these: Sequence[frozenset[str]], those: Sequence[frozenset[str]]) -> str:
    """The causes by which these sets differ from those, in words; empty if in nothing."""
    own = [s - frozenset[str]().union(*those) for s in these]
    if not all(own):
        return ""
    return " or ".join(dict.fromkeys(CAUSES[c].title.lower() for s in own for c in sorted(s)))


def words_for(setup: SetUp, open_groups: Sequence[tuple[str, ...]]) -> tuple[str, tuple[str, ...]]:
    """Why a test is worth its minutes, and which reading would mean which cause."""
    link = setup.station.link_station
    key = (setup.kind.id, link if link in ("motor-shaft", "screw", "nut") else "")
    why, meanings = WORDS.get(key, WORDS.get((setup.kind.id, ""), ("", ())))
    groups = [g for g in open_groups if len(g) > 1]
    if not why and groups:
        names = " and ".join(CAUSES[c].title.lower() for c in groups[0])
        why = f"It tells {names} apart."
    return why, meanings


WORDS: dict[tuple[str, str], tuple[str, tuple[str, ...]]] = {
    ("reversal", "screw"): (
        "The screw's end face shows what seat and coupling take, and nothing of nut and bracket.",
        (
            "If the screw shifts by most of the loss: seat or coupling.",
            "If it stays within 0.01 mm: nut or bracket.",
        ),
    ),
    ("reversal", "motor-shaft"): (
        "The motor's shaft shows what the seat takes by itself.",
        (
            "If the shaft shifts by most of the loss: the motor's seat.",
            "If it stays: the coupling or what comes after it.",
        ),
    ),
    ("reversal", "nut"): (
        "The nut shows all but the bracket.",
        (
            "If the nut loses as much as the gantry: not the bracket.",
            "If the nut loses clearly less: the bracket.",
        ),
    ),
    ("reversal", ""): (
        "Up, down and up again at one height shows the whole loss with its shape.",
        (
            "If the loss comes at once, as a flat floor: play in the nut.",
            "If it comes bit by bit: a spring that gives way to drag.",
        ),
    ),
    ("dead-weight", "screw"): (
        "Known masses show how far seat and coupling give to a newton, drag left out.",
        (
            "If the screw sinks 0.01 mm or more a newton: seat or coupling is soft.",
            "If it hardly moves: the loss comes after the screw, or from drag.",
        ),
    ),
    ("dead-weight", "motor-shaft"): (
        "Known masses show the motor seat's own spring.",
        (
            "If the shaft sinks 0.01 mm or more a newton: the seat is soft.",
            "If it hardly moves: not the seat.",
        ),
    ),
    ("dead-weight", "nut"): (
        "Known masses show how far all links up to the nut give to a newton.",
        (
            "If the nut sinks as far as the gantry: not the bracket.",
            "If it sinks clearly less: the bracket.",
        ),
    ),
    ("dead-weight", ""): (
        "Known masses fix the stiffness, and with it the drag in newtons.",
        (
            "If it sinks 0.01 mm or more a newton: a soft link.",
            "If it hardly sinks: the loss is drag.",
        ),
    ),
    ("gauge-check", ""): (
        "On a solid block the gauge is alone: its sticking and its tilt show, nothing else.",
        (
            "If up and down differ at the same leaf: the plunger sticks.",
            "If the readings are off in proportion: the gauge stands tilted.",
            "If neither: what was read is the machine.",
        ),
    ),
    ("full-travel", ""): (
        "The whole height shows what changes with it.",
        (
            "If the loss rises at one height only: a tight spot.",
            "If it rises toward the fixed end of the screw: the screw is out of line.",
            "If readings are off in proportion to the height: lead error or a tilted gauge.",
        ),
    ),
    ("one-turn", ""): (
        "Sixteenths of a turn show what repeats with the screw and with the motor's steps.",
        (
            "If it repeats once a turn: screw or thread.",
            "If it repeats every four full steps: uneven steps.",
        ),
    ),
    ("repeat-home", ""): (
        "Homing again and again shows how far home differs.",
        (
            "If the readings scatter more than on a hold: home differs.",
            "If they trend one way: steps are lost, or the clamp slips.",
        ),
    ),
    ("fine-steps", ""): (
        "Small steps after homing show how the loss builds up.",
        (
            "If nothing moves at first and then full steps: play.",
            "If steps grow slowly: a spring that gives way to drag.",
        ),
    ),
    ("coarse-steps", ""): (
        "A staircase after homing gives the loss of this side.",
        ("If it loses more than the other side: racking or this side's drag.",),
    ),
    ("hold", ""): (
        "While nothing moves, only warmth and creep change the reading.",
        ("If it wanders by 0.02 mm or more: drift with warmth.",),
    ),
    ("side-push", ""): (
        "A known push shows how far the frame gives way.",
        (
            "If it gives 0.02 mm or more a newton: the frame.",
            "If it does not come back: a loose joint.",
        ),
    ),
}
"""By kind of test and link station."""
