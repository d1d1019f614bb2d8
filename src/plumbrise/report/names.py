"""Names for people: figures, stations, sides, trust. One table each, used in every text."""

from __future__ import annotations

import re
from dataclasses import dataclass

from plumbrise.explain.causes import CAUSES, LINKS
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS


@dataclass(frozen=True, slots=True)
class FigureName:
    """A figure of a run in the words of the trade: its name, and what it means."""

    name: str
    meaning: str


FIGURE_NAMES: dict[str, FigureName] = {
    "lost_motion": FigureName(
        "Lost motion", "how far the axis stays behind what it was told once it follows again"
    ),
    "take_up": FigureName(
        "Take-up", "how far it must be told to go before nearly all of the loss is taken up"
    ),
    "shortfall": FigureName("Shortfall", "told rise less the rise read"),
    "step_gain": FigureName("Step arrives", "read step as a share of the told step"),
    "reversal_value": FigureName(
        "Reversal value", "reading on the way up less reading on the way down, same height"
    ),
    "repeatability": FigureName(
        "Repeatability", "how widely readings spread when the same height is told again"
    ),
    "accuracy": FigureName("Accuracy", "widest span of all deviations with their spread"),
    "mean_bidirectional": FigureName(
        "Mean deviation range", "greatest less smallest mean deviation over the heights"
    ),
    "systematic_deviation": FigureName(
        "Systematic deviation", "span of the mean deviations, spread left out"
    ),
    "scale_error": FigureName("Scale error", "moved more (+) or less (-) than told, by height"),
    "once_per_turn": FigureName("Once a turn", "ripple with the period of one screw turn"),
    "full_step_pattern": FigureName(
        "Four full steps", "ripple with the period of four full motor steps"
    ),
    "home_range": FigureName("Home range", "greatest less smallest place after homing"),
    "home_sd": FigureName("Home spread", "standard deviation of the place after homing"),
    "drift": FigureName("Drift", "movement while nothing is told to move"),
    "compliance": FigureName("Gives way", "movement for each newton of load"),
    "far_side_lag": FigureName(
        "Far side lag", "how much more the side without a screw stays behind"
    ),
    "side_difference": FigureName("Right less left", "difference of the two sides' heights"),
}
"""Every figure that an analysis may hold, by its key."""

_PLACES = {
    "gantry-left": "left end of the gantry",
    "gantry-middle": "middle of the gantry",
    "gantry-right": "right end of the gantry",
    "bed-left": "left of the bed",
    "bed-right": "right of the bed",
    "bed-back": "back of the bed",
    "bed": "middle of the bed",
    "frame-left": "left upright",
    "frame-right": "right upright",
    "frame-base": "base of the frame",
    "block": "solid block",
    "motor-shaft": "motor shaft",
    "screw": "end of the screw",
    "nut": "nut",
}


def figure_name(key: str, detail: str = "") -> str:
    """A figure's name with what tells it apart.

    Example:
        >>> figure_name("shortfall", "after 1 mm")
        'Shortfall, after 1 mm'
    """
    known = FIGURE_NAMES.get(key)
    name = known.name if known else key.replace("_", " ").capitalize()
    return f"{name}, {detail}" if detail else name


def station_name(station: str) -> str:
    """Where the gauge stands, in words.

    Example:
        >>> station_name("screw-left"), station_name("gantry-right")
        ('end of the left screw', 'right end of the gantry')
    """
    if station in _PLACES:
        return _PLACES[station]
    known = STATIONS.get(station)
    if known is None or known.side is None:
        return station.replace("-", " ")
    plain = _PLACES[known.link_station]
    if plain.startswith("end of the "):
        return f"end of the {known.side} {plain.removeprefix('end of the ')}"
    return f"{known.side} {plain}"


_AT_A_STATION = re.compile(rf"\bat ({'|'.join(sorted(STATIONS, key=len, reverse=True))})\b(?!-)")


def with_places(words: str) -> str:
    """A sentence with "at gantry-left" told in words.

    Example:
        >>> with_places("it returns 0.3 mm at gantry-left")
        'it returns 0.3 mm at the left end of the gantry'
    """
    return _AT_A_STATION.sub(lambda found: f"at the {station_name(found[1])}", words)


def side_word(station: str) -> str:
    """One word for an end of the beam or bed: left, right, back or middle."""
    known = STATIONS.get(station)
    if known is not None and known.side is not None:
        return known.side
    return "middle" if station in ("gantry-middle", "bed") else station.replace("-", " ")


def cause_title(cause: str) -> str:
    """A cause's title; an id that is not known yet as it stands."""
    known = CAUSES.get(cause)
    return known.title if known else cause.replace("-", " ")


CAUSE_PHRASES: dict[str, str] = {
    "motor-seat": "a soft motor seat",
    "coupling-stretch": "a coupling that stretches",
    "coupling-slip": "a coupling that slips",
    "bracket-flex": "a nut bracket that bends",
    "nut-play": "play in the nut",
    "guide-drag": "drag in the guides",
    "tight-spot": "a tight spot",
    "racking": "racking of the gantry",
    "screw-bend": "an error once a turn",
    "lead-error": "a wrong lead",
    "thread-misalignment": "a screw out of line",
    "lost-steps": "lost steps",
    "microstep-error": "uneven motor steps",
    "home-scatter": "a home that differs",
    "warm-drift": "drift with warmth",
    "frame-flex": "a frame that gives way",
    "gauge-stick": "a gauge that sticks",
    "gauge-tilt": "a gauge that stands tilted",
    "out-of-step": "motors out of step",
    "tie-slack": "slack in the tie belt",
    "stick-slip": "guides that stick and let go",
    "droop": "a side that droops",
    "idle-drop": "a drop when the axis stands idle",
}
"""Each cause as it stands inside a sentence."""


def cause_phrase(cause: str) -> str:
    """A cause inside a sentence.

    Example:
        >>> cause_phrase("motor-seat")
        'a soft motor seat'
    """
    return CAUSE_PHRASES.get(cause, cause_title(cause))


def link_title(link: str) -> str:
    """A link's title; an id that is not known yet as it stands."""
    return LINKS.get(link, link)


def test_title(test: str) -> str:
    """A test kind's title."""
    known = KINDS.get(test)
    return known.title if known else test.replace("-", " ")


def listed(words: list[str] | tuple[str, ...], joint: str = "and") -> str:
    """Words in a row as a person writes them.

    Example:
        >>> listed(["seat", "coupling", "bracket"], "or")
        'seat, coupling or bracket'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"


def lowered(words: str) -> str:
    """The words as they stand inside a sentence: first letter small."""
    return words[:1].lower() + words[1:]


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    Example:
        >>> counted(1, "reading"), counted(3, "reading")
        ('1 reading', '3 readings')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def as_sentence(words: str) -> str:
    """Words with a capital first and a full stop last.

    Example:
        >>> as_sentence("the seat sinks")
        'The seat sinks.'
    """
    words = words.strip()
    if not words:
        return ""
    return f"{words[0].upper()}{words[1:]}{'' if words[-1] in '.:;?' else '.'}"
