"""Bearing: which ones fit the screw's end, what holds it both ways, how long it lasts."""

from __future__ import annotations

from math import inf

from plumbrise.elements import bearing, bearing_capture, bearing_contact, bearing_life
from plumbrise.elements.bearing import Bearing
from plumbrise.elements.bearing_capture import Capture, Held, Support
from plumbrise.elements.calculators.carried import (
    ASKED_DRAG,
    ASKED_WEIGHT,
    LOAD,
    all_drag_n,
    drag_sum,
    weight_n,
    weight_sum,
)
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.errors import InputError
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_END, _HELD = "The bearing", "What holds the screw along its axis"
LEAST_STATIC_SAFETY = 1.0
TYPES = {"thrust": bearing.thrust_for, "radial": bearing.radial_for}

ASKED = (
    Asked("type", "thrust bearing or deep groove bearing", "", "thrust", _CP,
          choices=tuple(TYPES), group=_END),
    Asked("bore_mm", "diameter of the journal that it goes on", "mm", 8.0, _CP, low=1, high=100,
          group=_END, factor=1),
    Asked("dynamic_n", "its dynamic rating, from the maker", "N", low=1, high=1e6, optional=True,
          group=_END),
    Asked("static_n", "its static rating, from the maker", "N", low=1, high=1e6, optional=True,
          group=_END),
    *ASKED_WEIGHT,
    *ASKED_DRAG,
    Asked("preload_n", "preload, by a nut or a spring", "N", 0.0, _CP, low=0, high=10_000,
          group=LOAD, factor=1),
    Asked("radial_n", "side load, such as both strands of a belt", "N", 0.0, _GUESS, low=0,
          high=10_000, group=LOAD),
    Asked("turns_per_min", "turns a minute while it moves", "/min", 75.0, _CP, low=0.01,
          high=20_000, group=LOAD),
    Asked("support", "what holds the screw along its axis", group=_HELD, each=(
        Asked("name", "what it is"),
        Asked("end", "at which end", choices=("bottom", "top"), default="bottom"),
        Asked("holds", "against which way", choices=("sinking", "rising", "both"),
              default="both"),
        Asked("float_mm", "how far it lets the screw go", "mm", 0.0, _GUESS, low=0, high=10),
    )),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Forces both ways, the bearings that fit, life and safety; then what holds the screw."""
    found = bearing_capture.capture(
        supports=[_support(item) for item in given.items("support")],
        weight_n=weight_n(given),
        drag_n=all_drag_n(given),
    )
    fitting = TYPES[given.word("type")](bore_mm=given.number("bore_mm"))
    chosen = fitting[0]
    sums = (
        *_force_sums(given, found),
        Sum("bearings", "bearings of this bore", "-", "table of sizes", ("type", "bore_mm"),
            ", ".join(_named(one) for one in fitting), "", 3, "ISO 15, ISO 104"),
        *_rating_sums(given, chosen, found),
    )  # fmt: skip
    safety = next(float(one.value) for one in sums if one.name == "static_safety")
    verdicts = [
        Verdict(
            f"At rest a {chosen.designation} could carry {rounded(safety, 2)} times this load.",
            safety >= LEAST_STATIC_SAFETY,
        )
    ]
    if given.word("type") == "thrust" and given.number("radial_n") > 0:
        verdicts.append(_sideways(given))
    if given.items("support"):
        verdicts.append(_held_verdict(found))
    return Worked(sums, tuple(verdicts), _warnings(given, found))


def _support(item: Given) -> Support:
    holds = item.word("holds")
    return Support(
        name=item.word("name"),
        at_top=item.word("end") == "top",
        against_sinking=holds in ("sinking", "both"),
        against_rising=holds in ("rising", "both"),
        float_mm=item.number("float_mm"),
    )


def _named(one: Bearing) -> str:
    return f"{one.designation} ({one.bore_mm:g} x {one.outer_mm:g} x {one.width_mm:g})"


def _force_sums(given: Given, found: Capture) -> tuple[Sum, ...]:
    statics = "statics"
    return (
        weight_sum(given),
        drag_sum(given),
        Sum("sinking_n", "largest force that pushes the screw down", "F_down", "W + D",
            ("weight_n", "all_drag_n"), found.sinking_n, "N", 3, statics),
        Sum("rising_n", "largest force that pulls it up", "F_up", "max(0, D - W)",
            ("weight_n", "all_drag_n"), found.rising_n, "N", 3, statics),
    )  # fmt: skip


def _rating_sums(given: Given, chosen: Bearing, found: Capture) -> tuple[Sum, ...]:
    """Equivalent load, life, static safety and friction of the smallest that fits."""
    dynamic = given.known("dynamic_n") or chosen.dynamic_n
    static = given.known("static_n") or chosen.static_n
    axial, radial = found.sinking_n + given.number("preload_n"), given.number("radial_n")
    if given.word("type") == "thrust":
        running, at_rest, friction = axial, axial, bearing_contact.FRICTION["thrust ball"]
        equation, resting = "F_down + preload", "F_down + preload"
    else:
        running = bearing_life.equivalent_load_n(radial_n=radial, axial_n=axial, static_n=static)
        at_rest = bearing_life.static_load_n(radial_n=radial, axial_n=axial)
        friction = bearing_contact.FRICTION["deep groove"]
        equation, resting = "max(Fr, 0.56 Fr + Y Fa)", "max(0.6 Fr + 0.5 Fa, Fr)"
    life = bearing_life.life_turns(dynamic_n=dynamic, load_n=running)
    hours = (
        life
        if life == inf
        else bearing_life.life_hours(turns=life, turns_per_min=given.number("turns_per_min"))
    )
    loads = ("sinking_n", "preload_n") + (("radial_n",) if given.word("type") == "radial" else ())
    torque = bearing_contact.friction_torque_nmm(
        load_n=running, bore_mm=chosen.bore_mm, friction=friction
    )
    return (
        Sum("running_n", "load to reckon with, turning", "P", equation, loads, running, "N", 3,
            "ISO 281"),
        Sum("life_h", "hours that nine in ten live", "L", "10⁶ (C / P)³ / (60 n)",
            ("running_n", "dynamic_n", "bearings", "turns_per_min"), hours, "h", 2, "ISO 281"),
        Sum("resting_n", "load to reckon with, at rest", "P₀", resting, loads, at_rest, "N", 3,
            "ISO 76"),
        Sum("static_safety", "static rating over that load", "s₀", "C₀ / P₀",
            ("resting_n", "static_n", "bearings"),
            bearing_life.static_safety(static_n=static, load_n=at_rest), "", 2, "ISO 76"),
        Sum("friction_nmm", "torque that it takes to turn", "T", "f P d / 2",
            ("running_n", "bore_mm", "type"), torque, "N·mm", 2, "usual estimate, from memory"),
    )  # fmt: skip


def _sideways(given: Given) -> Verdict:
    """What a thrust bearing leaves to another: the side load."""
    load = given.number("radial_n")
    needed = f"A thrust bearing carries nothing sideways: the {rounded(load, 3)} N need a radial"
    try:
        beside = bearing.radial_for(bore_mm=given.number("bore_mm"))[0]
    except InputError:  # none of this bore in the table
        return Verdict(f"{needed} bearing beside it.", False, ("type", "radial_n"))
    safety = bearing_life.static_safety(
        static_n=beside.static_n,
        load_n=bearing_life.static_load_n(radial_n=load, axial_n=0.0),
    )
    return Verdict(
        f"{needed} bearing beside it. A {beside.designation} could carry {rounded(safety, 2)} "
        "times that at rest.",
        False,
        ("type", "radial_n"),
    )


_HELD_WORDS = {
    Held.RIGHT: ("The screw is held at one end, and free to grow at the other.", True),
    Held.CROSSED: (
        "One end keeps it from sinking and the other from rising: as the frame grows or shrinks "
        "against the screw it presses or comes loose.",
        False,
    ),
    Held.TWICE: (
        "Both ends are fixed the same way: warmth and tightening load them. Let one end float.",
        False,
    ),
    Held.SHARED: (
        "Two parts take the same force at one end: which of them carries is a matter of "
        "hundredths. Let one of the two give way along the axis.",
        False,
    ),
}


def _held_verdict(found: Capture) -> Verdict:
    if found.held is not Held.LOOSE:
        words, holds = _HELD_WORDS[found.held]
        return Verdict(words, holds, ("support",))
    if not found.taken_by:
        return Verdict("Nothing keeps the screw from sinking.", False, ("support",))
    return Verdict(
        f"On the way down the nut pulls the screw up with {rounded(found.rising_n, 2)} N, and "
        "nothing keeps it down.",
        False,
        ("support",),
    )


def _warnings(given: Given, found: Capture) -> tuple[str, ...]:
    told = []
    if given.known("static_n") is None or given.known("dynamic_n") is None:
        told.append(
            "Ratings are typical ones of the smallest bearing that fits and differ by tens of per "
            "cent between makers. Life hardly ever governs here; seat and squareness do."
        )
    if given.word("type") == "thrust":
        told.append(
            "A thrust bearing holds nothing sideways and one way only: it needs a radial bearing "
            "or bushing beside it, and something that keeps the screw down."
        )
    if found.lifts_mm:
        told.append(
            f"The screw rises {rounded(found.lifts_mm, 2)} mm on the way down before it is "
            "stopped: that is lost at every reversal."
        )
    if not given.items("support"):
        told.append("Name what holds the screw along its axis to have both ways checked.")
    return tuple(told)


CALCULATOR = Calculator(
    kind="bearing",
    title="Bearing",
    purpose="Which bearing fits a screw's end, what holds the screw both ways, how long it lasts.",
    asked=ASKED,
    work=work,
    example="--bore-mm 8 --support 'thrust bearing:bottom:both'",
)
