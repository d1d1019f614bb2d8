"""When an indicator stands still: so many values within one resolution over so many seconds."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median_low

from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class StillnessRule:
    """What counts as still.

    Args:
        within_mm: largest less smallest value may be so much: the indicator's resolution, or two.
        values: at least so many values, one after the other.
        seconds: the values must span so long.
        gap_s: after a silence longer than this the count starts anew: what happened in it is
            not known. Slower indicators need more.

    Raises:
        InputError: a bound that no values can meet.
    """

    within_mm: float
    values: int = 5
    seconds: float = 1.0
    gap_s: float = 2.0

    def __post_init__(self) -> None:
        for place, given, lowest in (
            ("within_mm", self.within_mm, 0.0),
            ("values", self.values, 2),
            ("seconds", self.seconds, 0.0),
            ("gap_s", self.gap_s, 0.01),
        ):
            if not lowest <= given < float("inf"):
                raise InputError(
                    place=place,
                    value=given,
                    allowed=f"{lowest:g} or more",
                    remedy="Say how still is still: values, mm and seconds.",
                )


@dataclass(frozen=True, slots=True)
class Seen:
    """One value and when it came, on any clock that only goes forward."""

    time_s: float
    mm: float


@dataclass(frozen=True, slots=True)
class Still:
    """A value taken at rest: one that the indicator showed, how many agreed, and over how long."""

    mm: float
    spread_mm: float
    values: int
    from_s: float
    to_s: float


Watch = tuple[Seen, ...]
"""The values that agree with the newest one, newest last. A watch starts empty: ()."""


def watched(rule: StillnessRule, watch: Watch, mm: float, now_s: float) -> Watch:
    """The watch with one value more: what no longer agrees, or stands before a gap, is let go."""
    newest = Seen(now_s, mm)
    if watch and not 0 <= now_s - watch[-1].time_s <= rule.gap_s:
        return (newest,)
    low = high = mm
    kept = [newest]
    for seen in reversed(watch):
        low, high = min(low, seen.mm), max(high, seen.mm)
        if high - low > rule.within_mm + 1e-9:
            break
        kept.append(seen)
        if len(kept) >= rule.values and now_s - seen.time_s >= rule.seconds:
            break  # enough to tell: older values would only make a slow drift look like rest
    return tuple(reversed(kept))


def taken(rule: StillnessRule, watch: Watch) -> Still | None:
    """The value at rest, or None while it still moves or too little was seen.

    The value is the middle one of those that agree (the lower of two): one that was shown.

    Example:
        >>> rule = StillnessRule(within_mm=0.001, values=3, seconds=0.4)
        >>> watch = ()
        >>> for now_s, mm in ((0.0, 1.2), (0.2, 1.250), (0.4, 1.251), (0.6, 1.251)):
        ...     watch = watched(rule, watch, mm, now_s)
        >>> taken(rule, watch).mm
        1.251
    """
    if len(watch) < rule.values or watch[-1].time_s - watch[0].time_s < rule.seconds - 1e-9:
        return None
    values = [seen.mm for seen in watch]
    return Still(
        mm=median_low(values),
        spread_mm=max(values) - min(values),
        values=len(values),
        from_s=watch[0].time_s,
        to_s=watch[-1].time_s,
    )
