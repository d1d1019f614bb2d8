"""A set of changes that somebody names, checked against the machine it is for."""

from __future__ import annotations

from collections.abc import Iterable

from plumbrise.errors import InputError
from plumbrise.machine import Machine
from plumbrise.redesign.catalogue import CATALOGUE
from plumbrise.redesign.changes import Change, allowed_together


def known_changes(place: str, ids: Iterable[str]) -> frozenset[str]:
    """These ids, each of which must be in the catalogue.

    Raises:
        InputError: an unknown one.
    """
    found = frozenset(ids)
    for one in sorted(found):
        if one not in CATALOGUE:
            raise InputError(
                place=place,
                value=one,
                allowed="one of " + ", ".join(CATALOGUE),
                remedy="`plumbrise redesign --list` tells what each is.",
            )
    return found


def set_for(
    machine: Machine, changes: Iterable[Change | str], *, place: str = "changes"
) -> tuple[Change, ...]:
    """The changes in the catalogue's order, each once.

    Args:
        machine: the axis as it is.
        changes: changes of the catalogue, or their ids.
        place: where they were named, for errors.

    Raises:
        InputError: an unknown change, one that this machine cannot have, or a set that cannot be
            made together.

    Example:
        >>> from plumbrise.machine import blank
        >>> [c.id for c in set_for(blank("one-screw"), ["new-nut", "clean-screw", "new-nut"])]
        ['clean-screw', 'new-nut']
    """
    ids = known_changes(place, (c if isinstance(c, str) else c.id for c in changes))
    chosen = tuple(c.made_on(machine) for c in CATALOGUE.values() if c.id in ids)
    for change in chosen:
        if not change.applies_to(machine):
            raise InputError(
                place=place,
                value=change.id,
                allowed="a change that this machine can have",
                remedy="`plumbrise redesign MACHINE --list` tells which these are.",
            )
    if not allowed_together(chosen):
        raise InputError(
            place=place,
            value=", ".join(change.id for change in chosen),
            allowed="a set that can be made together",
            remedy="One of them excludes another, or needs one that is not there.",
        )
    return chosen
