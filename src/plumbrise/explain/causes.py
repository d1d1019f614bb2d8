"""The causes that an explanation weighs: one record each, from which answers, documents and
drawings draw."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.machine import Arrangement


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that can be wrong with an axis.

    `link` is the part of the load path it sits in (None where it sits in none), `words` what
    happens, `remedy` the cheapest thing to do about it. `needs` is the test without which
    nothing can be said of it. `only_on` names the arrangements on which it can occur, all if empty.
    """

    id: str
    title: str
    link: str | None
    words: str
    remedy: str
    needs: str
    only_on: tuple[str, ...] = ()

    def occurs_on(self, arrangement: Arrangement) -> bool:
        """Whether machines of this arrangement have the parts for it.

        Example:
            >>> from plumbrise.machine import ARRANGEMENTS
            >>> CAUSES["racking"].occurs_on(ARRANGEMENTS["one-screw"])
            True
        """
        return not self.only_on or arrangement.id in self.only_on


CAUSES = {
    cause.id: cause
    for cause in (
        Cause(
            "motor-seat",
            "Soft motor seat",
            "seat",
            "The rotor rests on a wave washer inside the motor and sinks when the load grows.",
            "Let a thrust bearing take the weight to the frame.",
            needs="a moving test along the load path",
        ),
        Cause(
            "coupling-stretch",
            "Coupling stretches",
            "coupling",
            "The coupling carries the weight and gives way like a spring.",
            "Let a thrust bearing take the weight, or fit a coupling that is stiff along its axis.",
            needs="a moving test at screw, nut or gantry",
        ),
        Cause(
            "coupling-slip",
            "Coupling slips",
            "coupling",
            "A clamp or grub screw creeps along the shaft; the loss does not come back.",
            "Clean the shaft, tighten the clamp, mark both parts and look again.",
            needs="a moving test behind the clamp",
        ),
        Cause(
            "bracket-flex",
            "Nut bracket bends",
            "bracket",
            "The plate between nut and gantry bends under the load.",
            "Stiffen the bracket or shorten its arm.",
            needs="a moving test at the gantry",
        ),
        Cause(
            "nut-play",
            "Play in the nut",
            "nut",
            "The nut floats between its flanks before it drives the other way.",
            "Ease the guides so that the weight keeps the nut on one flank; then a new nut.",
            needs="a moving test at nut or gantry",
        ),
        Cause(
            "guide-drag",
            "Drag in the guides",
            "guides",
            "The guides hold the gantry back; every spring in the load path gives way to that.",
            "Ease the rollers, clean and align the guides.",
            needs="a moving test along the load path",
        ),
        Cause(
            "tight-spot",
            "Tight spot",
            "guides",
            "Drag rises over a short stretch of the height, the same on every pass.",
            "Clean, deburr and look at guide and screw at that height.",
            needs="full travel",
        ),
        Cause(
            "racking",
            "Gantry racks",
            "racking",
            "One side follows late because beam and carriages tilt.",
            "Set the rollers of the side that lags; then stiffen the joint of beam and carriage.",
            needs="tests at both sides",
        ),
        Cause(
            "screw-bend",
            "Error once a turn",
            "screw",
            "A bow or a wandering thread moves the nut up and down once a turn.",
            "Free the top of the screw, align it; then another screw.",
            needs="the lead, and full travel or one turn",
        ),
        Cause(
            "lead-error",
            "Lead error",
            "screw",
            "The screw moves more or less than told, in proportion to the height.",
            "Check lead and steps per mm over 100 mm before you change either.",
            needs="full travel",
        ),
        Cause(
            "thread-misalignment",
            "Screw out of line",
            "screw",
            "Drag rises as the gantry nears the fixed end of the screw.",
            "Loosen the nut and motor screws, run to that end, tighten there.",
            needs="full travel",
        ),
        Cause(
            "lost-steps",
            "Lost steps",
            "motor",
            "The motor falls back by whole cycles of four full steps and stays there.",
            "Find what binds; then check current and acceleration.",
            needs="a longer moving test at nut or gantry",
        ),
        Cause(
            "microstep-error",
            "Uneven steps",
            "motor",
            "The motor's steps differ within a cycle of four full steps.",
            "Use layer heights that are whole multiples of four full steps.",
            needs="the lead, and fine steps or one turn",
        ),
        Cause(
            "home-scatter",
            "Home differs",
            "home",
            "The place where homing stops differs from one time to the next.",
            "Home slowly a second time, stiffen the switch's bracket.",
            needs="repeated homing",
        ),
        Cause(
            "warm-drift",
            "Drift with warmth",
            "frame",
            "Parts grow or creep while nothing is commanded.",
            "Let the machine soak, measure and print in the same state.",
            needs="a hold or warm-up with times",
        ),
        Cause(
            "frame-flex",
            "Frame gives way",
            "frame",
            "An upright or the base bends or shifts in its joints under a side push.",
            "Tighten and brace the corner joints.",
            needs="a side push",
        ),
        Cause(
            "gauge-stick",
            "Gauge sticks",
            "gauge",
            "The plunger hangs back by the same small amount at every station.",
            "Clean the plunger, check the gauge on a solid block.",
            needs="a gauge check",
        ),
        Cause(
            "gauge-tilt",
            "Gauge stands tilted",
            "gauge",
            "A tilted plunger scales every reading alike.",
            "Set the plunger upright and check it on blocks or feeler leaves.",
            needs="a gauge check or full travel",
        ),
        Cause(
            "out-of-step",
            "Motors out of step",
            "motor",
            "Two motors stand apart by whole cycles of four full steps; the moving part is "
            "racked between their screws.",
            "Set both sides against equal blocks with the motors off, then see what lets one "
            "motor slip.",
            needs="moving tests at two sides",
            only_on=("two-screw", "three-screw-bed"),
        ),
        Cause(
            "tie-slack",
            "Slack in the tie belt",
            "tie",
            "The belt winds up before it turns the second screw, or has jumped a tooth.",
            "Tighten the tie belt, fasten its pulleys, then set both sides level.",
            needs="a moving test at nut or gantry on the side that the belt drives",
            only_on=("two-screw-tied",),
        ),
        Cause(
            "stick-slip",
            "Sticks, then jumps",
            "guides",
            "A guide at rest holds more than it does while it slides, so small moves are held "
            "back and then made up at once.",
            "Clean and oil the guides, ease rollers and nut; dip below the target and rise to it.",
            needs="fine steps or a reversal in small steps",
        ),
        Cause(
            "droop",
            "Far side hangs in play",
            "racking",
            "The carriage of the far side has play, so that the beam hangs tilted and swings "
            "over when drag or a hand lifts that end.",
            "Set the far rollers until they just turn by hand.",
            needs="a test at the side without a screw, made both ways",
            only_on=("one-screw",),
        ),
        Cause(
            "idle-drop",
            "Sinks when idle",
            "motor",
            "The motor's holding current is cut when nothing moves, and the rotor falls to the "
            "nearest place where it rests.",
            "Keep the holding current of this axis on.",
            needs="a hold or warm-up with times",
        ),
    )
}


def causes_of(arrangement: Arrangement) -> tuple[str, ...]:
    """Ids of the causes that can occur on machines of this arrangement, in their usual order."""
    return tuple(cause.id for cause in CAUSES.values() if cause.occurs_on(arrangement))


LINKS = {
    "seat": "Motor seat",
    "coupling": "Coupling",
    "screw": "Screw",
    "nut": "Nut",
    "bracket": "Bracket",
    "racking": "Racking",
    "tie": "Tie belt",
    "guides": "Guides",
    "motor": "Motor",
    "home": "Home",
    "frame": "Frame",
    "gauge": "Gauge",
}
"""The links of the load path by id, with their names for people; from "guides" on they carry no
loss of their own in the chain."""
