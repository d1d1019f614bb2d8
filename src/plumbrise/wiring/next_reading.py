"""Which reading to take next: the one that is expected to settle most of what is still possible."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import combinations, product
from math import log2

from plumbrise.wiring.completions import ENDS, Parting, Phases, partings, right_parting
from plumbrise.wiring.facts import MOTOR_FROM, Fact, Groups, Net
from plumbrise.wiring.harness import FRAME, Line, Pair
from plumbrise.wiring.limits import Allowed
from plumbrise.wiring.verdict import NextReading

RIGHT_SHARE = 0.6
"""How often a cable's pairs suit the board; else one of the other two pairings."""
OPEN_SHARE, TOUCH_SHARE, COIL_SHARE = 0.05, 0.01, 0.03
"""How often a contact is open, two things touch, a coil has the wrong resistance. These four only
order the readings; no verdict rests on them. Common practice, no source."""

State = tuple[Parting, tuple[bool, bool]]
"""A parting, and for the right one whether each pair's resistance is in order."""


@cache
def weights(phases: Phases) -> dict[Parting, float]:
    """How likely each parting is before any reading: pairings, open contacts, up to two touches."""
    (a, b), (c, d) = phases
    pairings = {
        ((a, b), (c, d)): RIGHT_SHARE,
        ((a, c), (b, d)): (1 - RIGHT_SHARE) / 2,
        ((a, d), (b, c)): (1 - RIGHT_SHARE) / 2,
    }
    touches = [touch for n in range(3) for touch in combinations(combinations(ENDS, 2), n)]
    found = dict.fromkeys(partings(), 0.0)
    for (coils, likely), opened, touch in product(
        pairings.items(), product((False, True), repeat=4), touches
    ):
        shut = {contact for contact, is_open in zip(ENDS[1:], opened, strict=True) if is_open}
        groups = Groups(pair for pair in coils if not shut & set(pair))
        for one, other in touch:
            groups.join(one, other)
        weight = likely * OPEN_SHARE ** len(shut) * (1 - OPEN_SHARE) ** (4 - len(shut))
        found[_parting_of(groups)] += weight * TOUCH_SHARE ** len(touch)
    return {parting: max(weight, 1e-9) for parting, weight in found.items()}


def _parting_of(groups: Groups) -> Parting:
    number: dict[int, int] = {}
    return tuple(number.setdefault(groups.group(end), len(number)) for end in ENDS)


def states(
    possible: Sequence[Parting], phases: Phases, proven: Sequence[Pair]
) -> dict[State, float]:
    """What is possible, with its weight; resistances that are proven are in order."""
    right, all_weights = right_parting(phases), weights(phases)
    found: dict[State, float] = {}
    for parting in possible:
        coils: Iterator[tuple[bool, ...]] = iter([(True, True)])
        if parting == right:
            coils = product(*((True,) if pair in proven else (True, False) for pair in phases))
        for first, second in coils:
            off = (not first) + (not second)
            found[parting, (first, second)] = all_weights[parting] * COIL_SHARE**off
    return found


def settled_share(possible: dict[State, float], pair: Pair, phases: Phases) -> float:
    """Part of the uncertainty (entropy) over what is possible that a reading is expected to take.

    Source:
        Expected information of an experiment: Lindley, Annals of Mathematical Statistics 27 (1956).
    """
    before = _entropy(possible.values())
    answers: dict[object, list[float]] = {}
    for state, weight in possible.items():
        answers.setdefault(_answer(state, pair, phases), []).append(weight)
    whole = sum(possible.values())
    after = sum(sum(part) / whole * _entropy(part) for part in answers.values())
    return 0.0 if before == 0 else (before - after) / before


def _answer(state: State, pair: Pair, phases: Phases) -> object:
    parting, coils = state
    joined = parting[ENDS.index(pair[0])] == parting[ENDS.index(pair[1])]
    for index, phase in enumerate(phases):
        if joined and set(pair) == set(phase):
            return joined, coils[index]
    return joined


def _entropy(values: Iterable[float]) -> float:
    parts = list(values)
    whole = sum(parts)
    return -sum(p / whole * log2(p / whole) for p in parts if p > 0)


def at_board(
    line: Line, possible: dict[State, float], phases: Phases, allowed: Allowed
) -> NextReading | None:
    """The reading at the cable's board end that settles most; None where none settles anything."""
    driven = {frozenset(pair) for pair in phases}
    ranked = sorted(
        combinations(ENDS, 2),
        key=lambda pair: (
            -round(settled_share(possible, pair, phases), 6),
            frozenset(pair) not in driven,
            pair,
        ),
    )
    best = ranked[0]
    share = settled_share(possible, best, phases)
    if share <= 0:
        return None
    return NextReading(
        line=line.name,
        way="read",
        at=Net.WHOLE.value,
        between=_contact_first(best),
        settles=share,
        why=_said_beforehand(best, frozenset(best) in driven, allowed),
    )


def _said_beforehand(pair: Pair, is_driven: bool, allowed: Allowed) -> str:
    if FRAME in pair:
        return "Open is right. Anything else: a short to the frame."
    if is_driven:
        low, high = allowed.sound.low, allowed.sound.high
        return (
            f"{low:.1f} to {high:.1f} Ω is right. Open: the pair is split or a contact is open. "
            "Other ohms: a short or a bad contact."
        )
    return "Open is right. Anything else: the pair is split, or the coils touch."


def _contact_first(pair: Pair) -> Pair:
    return (pair[1], pair[0]) if pair[0] == FRAME else pair


def where_it_lies(line: Line, contacts: Sequence[int], facts: Sequence[Fact]) -> NextReading | None:
    """What tells whether a fault seen at the board lies in the cable or in the motor."""
    read = {(fact.net, fact.nodes) for fact in facts}
    joins = dict(line.cable.joins)
    at_motor = [joins.get(contact, 0) for contact in contacts]
    if len(contacts) == 1 and FRAME not in contacts:
        pair, at = (contacts[0], at_motor[0]), Net.CABLE
        why = "Joined: the motor's own contact or coil is open. Open: this wire is."
    elif len(contacts) == 2 and FRAME not in contacts:
        pair, at = (at_motor[0], at_motor[1]), Net.MOTOR
        why = "As at the board: it lies in the motor. Otherwise it lies in the cable."
    else:
        return None
    if 0 in pair:
        return None
    nodes = (pair[0] if at is Net.CABLE else MOTOR_FROM + pair[0], MOTOR_FROM + pair[1])
    if (at, (min(nodes), max(nodes))) in read:
        return None
    return NextReading(line.name, "read", at.value, pair, None, why)
