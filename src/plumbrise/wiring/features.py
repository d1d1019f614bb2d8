"""What is wrong in a parting of contacts, as findings; and what all that are possible share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plumbrise.wiring.completions import ENDS, Parting, Phases, groups_in
from plumbrise.wiring.findings import (
    COIL_OPEN,
    COILS_JOINED,
    CONTACT_OPEN,
    FRAME_JOINED,
    PAIR_APART,
    PAIR_SPLIT,
    PHASES_JOINED,
    FindingKind,
)
from plumbrise.wiring.harness import FRAME

Feature = tuple[FindingKind, tuple[int, ...]]


def features(parting: Parting, phases: Phases) -> frozenset[Feature]:
    """Each thing wrong in a parting, with its contacts.

    Example:
        >>> found = features((0, 1, 2, 1, 2), ((1, 2), (3, 4)))
        >>> sorted((kind.id, contacts) for kind, contacts in found)
        [('pair-split', (1, 3)), ('pair-split', (2, 4))]
    """
    partner = {a: b for p in phases for a, b in (p, p[::-1])}
    found: set[Feature] = set()
    for group in groups_in(parting):
        contacts = tuple(contact for contact in group if contact != FRAME)
        if FRAME in group:
            found |= {(FRAME_JOINED, (contact,)) for contact in contacts}
        if len(contacts) == 1 and FRAME not in group:
            found.add((CONTACT_OPEN, contacts))
        elif len(contacts) == 2 and partner[contacts[0]] != contacts[1]:
            found.add((PAIR_SPLIT, contacts))
        elif len(contacts) > 2:
            found.add((COILS_JOINED, contacts))
    for pair in phases:
        alone = {(CONTACT_OPEN, (contact,)) for contact in pair}
        if alone <= found:
            found = (found - alone) | {(COIL_OPEN, tuple(sorted(pair)))}
    return frozenset(found)


def shared(partings: Iterable[Parting], phases: Phases) -> tuple[Feature, ...]:
    """What is wrong in every one of some partings."""
    each = [features(parting, phases) for parting in partings]
    common = frozenset.intersection(*each) if each else frozenset()
    return tuple(sorted(common, key=lambda one: (one[0].id, one[1])))


def joined_or_apart(partings: Sequence[Parting], phases: Phases) -> tuple[Feature, ...]:
    """Driven pairs that are apart, and contacts of two phases that are joined, in every one of
    some partings: what is sure where the reason is not."""
    if not partings:
        return ()
    found: list[Feature] = [
        (PAIR_APART, tuple(sorted(pair)))
        for pair in phases
        if not any(_together(parting, *pair) for parting in partings)
    ]
    found += [
        (PHASES_JOINED, tuple(sorted((one, other))))
        for one in phases[0]
        for other in phases[1]
        if all(_together(parting, one, other) for parting in partings)
    ]
    return tuple(found)


def _together(parting: Parting, one: int, other: int) -> bool:
    return parting[ENDS.index(one)] == parting[ENDS.index(other)]


def crossed_only(parting: Parting) -> bool:
    """True where the four contacts form two pairs, whichever, and the frame is apart."""
    sizes = sorted(len(group) for group in groups_in(parting))
    return sizes == [1, 2, 2] and parting.count(parting[ENDS.index(FRAME)]) == 1
