"""The proof in a line, and whether going on is worth it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from plumbrise.machine.stations import LINK_STATIONS, STATIONS
from plumbrise.prove.figures import ends_of_body
from plumbrise.prove.results import GOOD_MM, Compared, Verdict
from plumbrise.prove.things import LOST_MOTION
from plumbrise.quantity import Measured

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
    return " ".join([*(_lost_words(one, end_words(one.station)) for one in said), judged])


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


def end_words(station: str) -> str:
    """An end in a few words.

    Example:
        >>> end_words("gantry-right"), end_words("bed-back"), end_words("screw-left")
        ('right end', 'back of the bed', 'left screw')
    """
    known = STATIONS.get(station)
    if known is None or known.side is None:
        return station.replace("-", " ")
    if known.link_station in LINK_STATIONS:
        return f"{known.side} {known.link_station.replace('-', ' ')}"
    body = station.split("-")[0]
    return f"{known.side} end" if body == "gantry" else f"{known.side} of the {body}"


def advice(
    figures: Sequence[Compared],
    left: Mapping[str, Measured],
    target_mm: float = GOOD_MM,
    unread: Sequence[str] = (),
) -> str:
    """What remains, and whether going on would gain.

    Args:
        figures: what was judged.
        left: what each place loses after the work.
        target_mm: the most that an end may lose.
        unread: ends of which nothing was read after the work.
    """
    worse = [one for one in figures if one.verdict is Verdict.WORSE]
    if worse:
        return (
            f"{len(worse)} of the figures got worse: find out why before going on, and read them "
            "once more first."
        )
    if not left:
        return "Lost motion was not read after the work: read steps at both ends."
    said = _left_words(left, target_mm, whole=not unread)
    return f"{said} {unread_words(unread)}" if unread else said


def unread_words(unread: Sequence[str]) -> str:
    """That an end was not read after the work, in a sentence."""
    places = [f"the {end_words(station)}" for station in unread]
    named = " and ".join([", ".join(places[:-1]), places[-1]] if len(places) > 1 else places)
    return f"{named[:1].upper()}{named[1:]} {'was' if len(places) == 1 else 'were'} not read."


def _left_words(left: Mapping[str, Measured], target_mm: float, *, whole: bool) -> str:
    most = loses_most(left)
    value, place = left[most], end_words(most)
    if value.value - value.expanded > target_mm:
        return f"The {place} still loses {value}, more than {target_mm:g} mm: go on."
    if value.value + value.expanded > target_mm:
        return (
            f"What is left at the {place}, {value}, is near {target_mm:g} mm: more readings would "
            "tell on which side."
        )
    if not whole:
        return f"The {place} now loses {value}, less than {target_mm:g} mm."
    return (
        f"The end that loses most now loses {value}, less than {target_mm:g} mm: going on would "
        "gain little."
    )


def loses_most(left: Mapping[str, Measured]) -> str:
    """The end of the moving part that loses most; where none was read, the place that does."""
    some = ends_of_body(set(left)) or list(left)
    return max(some, key=lambda station: left[station].value)
