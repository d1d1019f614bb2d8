"""What nobody has read: the errors of a screw, and of its motor, that a change adds."""

from __future__ import annotations

from collections.abc import Mapping
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis.parameters import Parameters
from plumbrise.explain.priors import CHANCE, LINEAR

Vector = NDArray[np.float64]

COLUMNS = {
    "lead-error": ("",),
    "screw-bend": (":cos", ":sin"),
    "microstep-error": (":four:cos", ":four:sin", ":one:cos", ":one:sin"),
}
"""By cause, the terms of one screw and its motor."""
OF_MOTOR = "microstep-error"


def own_chance(seed: int, name: str) -> np.random.Generator:
    """Chance that hangs on a name alone."""
    return np.random.default_rng([seed, crc32(name.encode())])


def unread_terms(seed: int, count: int) -> dict[str, Vector]:
    """Errors of a screw that nobody has read, by cause and column, a value a draw: mostly sound,
    now and then at fault, as priors have it.

    Example:
        >>> sorted(unread_terms(0, 3))[:2]
        ['lead-error', 'microstep-error:four:cos']
    """
    found = {}
    for cause, columns in COLUMNS.items():
        rng, prior = own_chance(seed, f"{cause} of a new screw"), LINEAR[cause]
        spread = np.where(rng.random(count) < CHANCE, prior.faulty, prior.sound)
        for column in columns:
            found[cause + column] = np.asarray(spread * rng.standard_normal(count))
    return found


def new_screws(before: Parameters, after: Parameters) -> tuple[str, ...]:
    """The ends that another make of the axis gives a screw."""
    had = {lift.end for lift in before.lifts}
    return tuple(lift.end for lift in after.lifts if lift.end not in had)


def new_causes(before: Parameters, after: Parameters) -> tuple[str, ...]:
    """The causes of which another make of the axis has one more than before."""
    if not new_screws(before, after):
        return ()
    motors = after.arrangement.motors > before.arrangement.motors
    return tuple(cause for cause in COLUMNS if cause != OF_MOTOR or motors)


def terms_with_new(
    terms: Mapping[str, Vector], unread: Mapping[str, Vector], before: Parameters, after: Parameters
) -> dict[str, Vector]:
    """The terms of an axis, and those of what another make of it adds, each named by its end."""
    causes = new_causes(before, after)
    found = dict(terms)
    if OF_MOTOR in causes:  # the lone motor is now one of several
        found = {_of_end(name, before.lifts[0].end): values for name, values in terms.items()}
    for end in new_screws(before, after):
        for name, values in unread.items():
            cause, _, column = name.partition(":")
            if cause in causes:
                found[f"{cause}:{end}:{column}".removesuffix(":")] = values
    return found


def _of_end(name: str, end: str) -> str:
    cause, _, column = name.partition(":")
    return f"{cause}:{end}:{column}" if cause == OF_MOTOR else name
