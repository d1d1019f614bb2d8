"""How the gauge is set up for a test, what moves, and what to watch: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass, replace

from plumbrise.cautions import FALLING_GANTRY, HUNG_MASS, PINCH, PLUGGING, Hazard
from plumbrise.machine import Arrangement, Station
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    FULL_TRAVEL,
    GAUGE_CHECK,
    HAND_TURN,
    HOLD,
    ONE_TURN,
    REPEAT_HOME,
    REVERSAL,
    SIDE_PUSH,
    WARM_UP,
)


@dataclass(frozen=True, slots=True)
class Doing:
    """What a kind of test is like at the machine: what moves, what to watch, which hazards."""

    moves: str
    watch: str
    hazards: tuple[Hazard, ...] = ()


WHERE = {
    "motor-shaft": "On a stand on the frame, the tip on the flat end of the motor's shaft or on a "
    "collar clamped to it. Let the axis go one turn first: what swings with the turn is the face, "
    "not the shaft.",
    "screw": "On a stand on the frame, the tip on the upper end face of the screw, in its middle: "
    "a ball in the centre hole with a drop of grease, or a flat ground across.",
    "nut": "On a stand on the frame, the tip on the nut itself or on its flange, close to the "
    "screw, clear of the bracket.",
    "gantry-left": "On a stand on the frame, the tip on a hard flat spot at the left end of the "
    "gantry, upright, pressed in by a millimetre.",
    "gantry-middle": "On a stand on the frame, the tip under the middle of the gantry.",
    "gantry-right": "On a stand on the frame, the tip on a hard flat spot at the right end of the "
    "gantry, upright, pressed in by a millimetre.",
    "bed-left": "On a stand on the frame, the tip on the bed over its left screw.",
    "bed-right": "On a stand on the frame, the tip on the bed over its right screw.",
    "bed-back": "On a stand on the frame, the tip on the bed over its back screw.",
    "bed": "On a stand on the frame, the tip on the middle of the bed.",
    "frame-left": "On a stand on the table or the floor, the tip level against the top of the "
    "left upright, in the direction of the push.",
    "frame-right": "On a stand on the table or the floor, the tip level against the top of the "
    "right upright, in the direction of the push.",
    "frame-base": "On a stand on the table, the tip level against the base.",
    "block": "In its stand over a solid block, the tip on the block. Nothing of the machine moves.",
}
"""By link station or station."""

DOING = {
    FINE_STEPS: Doing(
        "It homes, then climbs in small steps; read after each.",
        "The first steps: does the hand stand still, creep, or follow at once?",
        (PINCH,),
    ),
    COARSE_STEPS: Doing(
        "It homes, then climbs in whole millimetres; read after each.",
        "How much of the first step or two arrives.",
        (PINCH,),
    ),
    REVERSAL: Doing(
        "It comes from below, then goes up, down and up again over the same heights.",
        "The hand at the turns. Let it come to rest before you read.",
        (PINCH,),
    ),
    FULL_TRAVEL: Doing(
        "It visits heights over the whole travel, on the way up and on the way down.",
        "The stroke of the gauge; where it binds or sounds different.",
        (PINCH,),
    ),
    ONE_TURN: Doing(
        "It climbs two turns of the screw in sixteenths.",
        "Whether the error comes back every turn. Mark the screw's position at the start.",
        (PINCH,),
    ),
    REPEAT_HOME: Doing(
        "It lifts and homes again, ten times.",
        "Touch nothing between homes; the gauge keeps its zero.",
        (PINCH,),
    ),
    DEAD_WEIGHT: Doing(
        "Nothing moves. Masses are hung and taken off again: at each reading so much hangs in all.",
        "Hang them without a jolt, from a string, {place}.",
        (HUNG_MASS, FALLING_GANTRY),
    ),
    HOLD: Doing(
        "Nothing moves, the motor holds. Read once a minute.",
        "Draughts, sun, a hand on the table.",
    ),
    WARM_UP: Doing(
        "Nothing moves while it warms. Read with the time and the temperature.",
        "Write down when the heaters went on.",
    ),
    SIDE_PUSH: Doing(
        "Nothing moves. Push with a spring balance, level, one way and then the other.",
        "Whether it comes back to where it was.",
    ),
    HAND_TURN: Doing(
        "The motor is off. Turn the screw by hand, slowly, with a spring balance on a lever; where "
        "each screw has a motor of its own, half a turn at each in turn.",
        "Where it goes hard. Blocks stand under every end before the motor is off.",
        (FALLING_GANTRY, PINCH, PLUGGING),
    ),
    GAUGE_CHECK: Doing(
        "Nothing moves. Leaves of known thickness go under the plunger, up and down again.",
        "Lower the plunger by its stem, not by letting it drop.",
    ),
}
"""By kind of test; `{place}` is where the masses hang."""
IN_THE_MIDDLE = (
    "all in the middle between the ends of the moving part, wherever the gauge stands. If they "
    "hang elsewhere, write under mass_at_mm how far that is from the left guide"
)
BALANCE = Doing(
    "Nothing moves. A spring balance pulls this end up, and then down, by these forces; read at "
    "each.",
    "Pull straight up and down, without a jolt.",
    (PINCH,),
)
"""A dead weight test in which nothing is hung: a spring balance pulls."""


def pulls(run: Run) -> bool:
    """Whether a spring balance pulls where else masses are hung."""
    loads = run.kind is DEAD_WEIGHT and any(reading.force_n for reading in run.readings)
    return loads and not any(reading.mass_kg for reading in run.readings)


def doing_of(run: Run) -> Doing:
    """What a set-up is like at the machine.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> hung = Reading(
        ...     seq=0, target_mm=20, reading_mm=None, approach="up", mass_kg=1.0, mass_at_mm=40.0
        ... )
        >>> run = Run(name="a", kind=DEAD_WEIGHT, station=STATIONS["nut"], readings=(hung,))
        >>> doing_of(run).watch
        'Hang them without a jolt, from a string, all at 40 mm from the left guide.'
    """
    if pulls(run):
        return BALANCE
    doing = DOING[run.kind]
    return replace(doing, watch=doing.watch.format(place=_hung_at(run)))


def _hung_at(run: Run) -> str:
    """Where the masses of a run hang: the middle where its table leaves that blank, as the axis
    model takes it."""
    at = {reading.mass_at_mm for reading in run.readings if reading.mass_kg}
    if None in at or not at:
        return IN_THE_MIDDLE
    if len(at) > 1:
        return "each where its reading says"
    return f"all at {at.pop():g} mm from the left guide"


def test_of(run: Run) -> tuple[str, str]:
    """The title of a set-up's test, and the test in a sentence."""
    if pulls(run):
        return "Spring balance", "Pull up and down with known forces while the height is held."
    return run.kind.title, run.kind.words


def load_words(run: Run, reading: Reading) -> str:
    """What hangs, pulls or pushes at a reading; empty where the test has no load.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> down = Reading(seq=0, target_mm=20, reading_mm=None, approach="up", force_n=-5.0)
        >>> run = Run(name="a", kind=DEAD_WEIGHT, station=STATIONS["gantry-left"], readings=(down,))
        >>> load_words(run, down)
        'pulled down by 5 N'
    """
    force = reading.force_n or 0.0
    if reading.mass_kg:
        at = reading.mass_at_mm
        place = "" if at is None else f" at {at:g} mm from the left guide"
        return f"{reading.mass_kg:g} kg hung in all{place}"
    if run.kind is DEAD_WEIGHT and not pulls(run):
        return "nothing hung"
    if run.kind is SIDE_PUSH or run.kind is DEAD_WEIGHT:
        verb, ways = ("pulled", ("up", "down")) if pulls(run) else ("pushed", ("one way", "back"))
        if not force:
            return f"not {verb}"
        return f"{verb} {ways[force < 0]} by {abs(force):g} N"
    return f"{force:g} N" if force else ""


def hang_words(before_kg: float, now_kg: float) -> str:
    """What is hung or taken off so that so much hangs.

    Example:
        >>> hang_words(0.5, 1.5)
        'Hang 1 kg more now, so that it is 1.5 kg in all.'
        >>> hang_words(2.0, 1.5)
        'Take 0.5 kg off now, so that it is 1.5 kg in all.'
    """
    if not now_kg:
        return "Take all of the mass off now."
    if not before_kg:
        return f"Hang {now_kg:g} kg now."
    change = f"{round(abs(now_kg - before_kg), 6):g} kg"
    what = f"Hang {change} more now" if now_kg > before_kg else f"Take {change} off now"
    return f"{what}, so that it is {now_kg:g} kg in all."


def mounting(station: Station) -> str:
    """How the gauge stands at a station."""
    return WHERE.get(station.id) or WHERE[station.link_station]


@dataclass(frozen=True, slots=True)
class Look:
    """Something to do with eyes and hands beside the readings; `causes` are what it can
    point at, `with_gauge` where it is done once the gauge is out. `each_alone` where it is done so
    only on screws that each have a motor of their own, or only on others. `{body}` in its words is
    what the screws carry."""

    title: str
    words: str
    minutes: float
    causes: tuple[str, ...]
    hazards: tuple[Hazard, ...] = ()
    with_gauge: bool = False
    each_alone: bool | None = None


_LOW = (
    "Go low, with a low block close under every end. Then switch off, pull the mains plug, wait a "
    "minute and unplug "
)
_FELT = ("thread-misalignment", "tight-spot", "screw-bend")
_HARD = "feel where it goes hard, once a turn or at one height."
LOOKS = (
    Look(
        "Mark the clamps",
        "Draw one line over motor shaft and coupling, and one over coupling and screw. Look again "
        "at the end: a line that has broken is a clamp that slips.",
        1.0,
        ("coupling-slip",),
    ),
    Look(
        "Tap",
        "Tap the {body} and the uprights with a knuckle while the gauge stands on the {body}. A "
        "hand that jumps and stays elsewhere says that something sticks.",
        1.0,
        ("guide-drag", "stick-slip", "gauge-stick"),
        (PINCH,),
        with_gauge=True,
    ),
    Look(
        "Lift by hand",
        "Motor on, lift each end of the {body} gently and let go. What lifts easily and drops "
        "back is play; what stays up is drag.",
        1.0,
        ("nut-play", "guide-drag", "droop"),
        (PINCH,),
    ),
    Look(
        "Turn by hand",
        f"{_LOW}the motor: turned fast it drives current back into its driver. Turn the screw "
        f"slowly from the blocks up to the top and back, and {_HARD}",
        5.0,
        _FELT,
        (FALLING_GANTRY, PLUGGING, PINCH),
        each_alone=False,
    ),
    Look(
        "Turn by hand",
        f"{_LOW}the motors: turned fast they drive current back into their drivers. Turn slowly, "
        "half a turn at each screw in turn so that the {body} stays level, from the blocks up to "
        f"the top and back, and {_HARD} End with the same count of turns at every screw, home, and "
        "look at the level before you read.",
        15.0,
        _FELT,
        (FALLING_GANTRY, PLUGGING, PINCH),
        each_alone=True,
    ),
    Look(
        "Wobble sideways",
        "Rest the tip sideways against the nut, then against the screw close to the coupling, and "
        "let the axis go one turn: the swing is the bow of the screw or a coupling put on askew.",
        5.0,
        ("screw-bend", "thread-misalignment"),
        (PINCH,),
        with_gauge=True,
    ),
)
"""No readings table takes these; they cost minutes and often settle a cause by themselves (common
practice, no source)."""


def looks_for(arrangement: Arrangement, causes: frozenset[str]) -> tuple[Look, ...]:
    """The looks that point at some of these causes, as they are done on this arrangement, those
    that cost least first.

    Example:
        >>> from plumbrise.machine import ARRANGEMENTS
        >>> bed = ARRANGEMENTS["three-screw-bed"]
        >>> [look.title for look in looks_for(bed, frozenset({"coupling-slip", "tight-spot"}))]
        ['Mark the clamps', 'Turn by hand']
    """
    alone = arrangement.motors > 1
    found = [
        replace(look, words=look.words.format(body=arrangement.body))
        for look in LOOKS
        if causes & frozenset(look.causes) and look.each_alone in (None, alone)
    ]
    return tuple(sorted(found, key=lambda look: look.minutes))
