"""The proof in a line, and whether going on is worth it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from plumbrise.machine.stations import STATIONS
from plumbrise.prove.figures import ends_of_body
from plumbrise.prove.results import Compared, Verdict
from plumbrise.prove.things import LOST_MOTION
from plumbrise.quantity import Measured

GOOD_MM = 0.05
"""Below this lost motion no longer shows in layers of 0.2 mm (common practice, no source)."""
ALONE = "No other figure could be judged."


def headline(figures: Sequence[Compared]) -> str:
    """What changed, in a line: the end that gained most first."""
    if not figures:
        return "Nothing can be compared: the two sessions have no test in common."
    told = told_first(figures)
    judged = f"Of {len(figures)} figures judged: {counted(figures)}."
    if len(figures) == 1:
        judged = ALONE
    if told is None:
        return judged if len(figures) > 1 else f"One figure judged: {figures[0].verdict}."
    worse = [one for one in lost_at_ends(figures) if one.verdict is Verdict.WORSE]
    said = [told, *(one for one in worse if one is not told)]
    return " ".join([*(_lost_words(one, _end_words(one.station)) for one in said), judged])


def told_first(figures: Sequence[Compared]) -> Compared | None:
    """The end to begin with: the one that gained most of those with a sure verdict, else of all;
    None where what the ends lose was not judged."""
    ends = lost_at_ends(figures)
    sure = [one for one in ends if one.verdict in (Verdict.BETTER, Verdict.WORSE)]
    return min(sure or ends, key=lambda one: one.change.value, default=None)


def lost_at_ends(figures: Sequence[Compared]) -> list[Compared]:
    """What the ends of the moving part lose; of a machine where neither was judged, what is lost
    anywhere."""
    lost = [one for one in figures if one.thing == LOST_MOTION.id]
    ends = ends_of_body({one.station for one in lost})
    return [one for one in lost if one.station in ends] or lost


def counted(figures: Sequence[Compared]) -> str:
    """How many figures got which verdict: 9 better, 4 cannot tell."""
    counts = {v: sum(one.verdict is v for one in figures) for v in Verdict}
    return ", ".join(f"{count} {verdict}" for verdict, count in counts.items() if count)


def _lost_words(told: Compared, place: str) -> str:
    if told.verdict is Verdict.BETTER:
        return f"The {place} lost {told.before}; it now loses {told.after}."
    if told.verdict is Verdict.WORSE:
        return f"The {place} lost {told.before}; it now loses more, {told.after}."
    if told.verdict is Verdict.NO_DIFFERENCE:
        return f"No difference shown: the {place} lost {told.before}, and loses {told.after}."
    return f"Cannot tell yet: the {place} lost {told.before}, and loses {told.after}."


def _end_words(station: str) -> str:
    known = STATIONS.get(station)
    if known is not None and known.side is not None:
        return f"{known.side} {'end' if station.startswith('gantry') else known.link_station}"
    return station.replace("-", " ")


def advice(figures: Sequence[Compared], left: Mapping[str, Measured]) -> str:
    """What remains, and whether going on would gain."""
    worse = [one for one in figures if one.verdict is Verdict.WORSE]
    if worse:
        return (
            f"{len(worse)} of the figures got worse: find out why before going on, and read them "
            "once more first."
        )
    if not left:
        return "Lost motion was not read after the work: read steps at both ends."
    ends = ends_of_body(set(left))
    some = {station: left[station] for station in ends} or dict(left)
    most = max(some, key=lambda s: some[s].value)
    value, place = some[most], _end_words(most)
    if value.value - value.expanded > GOOD_MM:
        return f"The {place} still loses {value}, more than {GOOD_MM:g} mm: go on."
    if value.value + value.expanded > GOOD_MM:
        return (
            f"What is left at the {place}, {value}, is near {GOOD_MM:g} mm: more readings would "
            "tell on which side."
        )
    return (
        f"The end that loses most now loses {value}, less than {GOOD_MM:g} mm: going on would gain "
        "little."
    )
