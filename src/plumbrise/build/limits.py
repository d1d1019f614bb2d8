"""The limits of acceptance, worked out for one machine from elements and from what was promised."""

from __future__ import annotations

from functools import lru_cache

from plumbrise.build.promised import effects_of, promised
from plumbrise.build.step import Bounds, Limit, On
from plumbrise.elements import (
    alignment,
    belt_drive,
    coupling,
    motor,
    nut_mount,
    screw_bow,
    screw_thread,
    thermal,
)
from plumbrise.elements.bearing import thrust_for
from plumbrise.elements.bearing_contact import take_up_mm
from plumbrise.elements.calculators import calculator
from plumbrise.elements.calculators.alignment import CALIPER_MM
from plumbrise.elements.worked import Sheet, sheet
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import Machine, known, lead_mm
from plumbrise.machine.said import said_of
from plumbrise.quantity import GRAVITY_M_PER_S2, rounded
from plumbrise.redesign import CATALOGUE, Way
from plumbrise.redesign.load import gear_of

STRAIGHT_MM, STRAIGHT_OVER_MM = 0.1, 300.0
"""How straight a new screw is to be, as its part says."""
WALL_MM, WALL_LEAN_MM = 100.0, 0.02
"""A beam is level where a printed wall so high leans no further. Common practice, no source."""
DROOP_MM = 0.1
"""How far the far end may hang by the shake of a carriage. Common practice, no source."""
WARM_BY_K = 20.0
"""How much warmer than the frame a screw gets in a long print. Common practice, no source."""
LOWEST_NUT_MM = 50.0
"""Height of the nut above the block at the lowest place, where nobody measured it."""
SCREW_GRADE = "grade-10"
"""What a light screw of no stated class keeps in lead."""
OVER_MM = 100.0
"""Length over which steps per mm are verified."""
LEAD = "the lead of the screw, in the machine file"


def fixed(low: float | None = None, high: float | None = None) -> Limit:
    """A limit of common practice, the same on every machine."""

    def bounds(_: On) -> Bounds:
        return Bounds(low=low, high=high)

    return bounds


@lru_cache(maxsize=256)
def worked(kind: str, machine: Machine, values: tuple[tuple[str, float | str], ...]) -> Sheet | str:
    """A calculator with what this machine says; else, in words, what it would need. Kept, since
    several steps of one order ask the same."""
    made = calculator(kind)
    try:
        return sheet(made, said_of(machine, made.asked) | dict(values))
    except (InputError, InputErrors) as problem:
        return str(problem)


def aligned(name: str) -> Limit:
    """A sum of the alignment sheet, as the most that is accepted."""

    def bounds(on: On) -> Bounds:
        made = _alignment(on)
        if isinstance(made, str):
            return Bounds(missing=made)
        return Bounds(high=float(made.worked[name]), source="alignment of a screw as a beam")

    return bounds


def _alignment(on: On) -> Sheet | str:
    length = float(known(on.after, "screw.length_mm", on.side or None).value)
    travel = on.after.travel.height_mm or length
    lowest = min(LOWEST_NUT_MM, length / 4)
    held = known(on.after, "screw.top_end", on.side or None).value == "held"
    values: tuple[tuple[str, float | str], ...] = (
        ("length_mm", length),
        ("lowest_mm", lowest),
        ("highest_mm", min(0.95 * length, lowest + travel)),
        ("fixing", "held-top" if held else "free-top"),
    )
    return worked("alignment", on.after, values)


def collar_swing(on: On) -> Bounds:
    """Dial swing at the rim of a collar's face at which its bearing takes up what is promised."""
    seat = promised("seat_travel_mm")(on)
    bore = known(on.after, "screw.diameter_mm", on.side or None).value
    try:
        washer = thrust_for(bore_mm=float(bore))[0]
    except InputError as problem:
        return Bounds(missing=problem.remedy)
    circle = (washer.bore_mm + washer.outer_mm) / 2
    for_one = take_up_mm(out_of_square_mm_per_mm=1.0, ball_circle_mm=circle)
    if seat.high is None:
        return seat
    return Bounds(
        high=seat.high / for_one * washer.outer_mm,
        source=f"take-up on a ball circle of {circle:g} mm, washer of {washer.outer_mm:g} mm",
    )


def coupling_swing(on: On) -> Bounds:
    """Dial swing of the screw beside the coupling: twice the step that its kind puts up with."""
    kind = known(on.after, "coupling.kind", on.side or None).value
    return Bounds(
        high=2 * coupling.of_kind(str(kind)).offset_mm,
        source=f"twice the side step that a {kind} coupling puts up with",
    )


def top_gap(on: On) -> Bounds:
    """Room that the floating end needs for a screw that gets warm."""
    growth = thermal.growth_mm(
        length_mm=float(known(on.after, "screw.length_mm", on.side or None).value),
        warming_k=WARM_BY_K,
        expansion_per_k=thermal.expansion_per_k("steel"),
    )
    return Bounds(low=growth, source=f"growth of the screw for {WARM_BY_K:g} K")


def float_needed(on: On) -> Bounds:
    """Sideways freedom that a floating nut needs."""
    travel = on.after.travel.height_mm or known(on.after, "travel.height_mm").value
    needed = nut_mount.freedom_needed_mm(
        orbit_mm=_straight_mm(on),
        offset_mm=0.1,
        out_of_parallel_mm_per_mm=0.1 / float(travel),
        travel_mm=float(travel),
    )
    return Bounds(low=needed, source="bow of the screw, offset and lean of 0.1 mm each")


def straightness(on: On) -> Bounds:
    """Bow of a new screw on a flat plate, from what is asked over 300 mm."""
    return Bounds(high=_straight_mm(on), source="0.1 mm over 300 mm, on an arc")


def _straight_mm(on: On) -> float:
    return screw_bow.bow_over_mm(
        bow_mm=STRAIGHT_MM,
        over_mm=STRAIGHT_OVER_MM,
        length_mm=float(known(on.after, "screw.length_mm", on.side or None).value),
    )


def shake(on: On) -> Bounds:
    """Clearance of a carriage by which the far end hangs no further than is allowed."""
    for_one = alignment.droop_mm(
        clearance_mm=1.0,
        spacing_mm=float(known(on.after, "guide.carriage_height_mm").value),
        span_mm=float(known(on.after, "guide.span_mm").value),
    )
    high, source = DROOP_MM / for_one, f"{DROOP_MM:g} mm of droop at the far end"
    finest = float(known(on.after, "gauge.resolution_mm").value)
    if high < finest:
        return Bounds(high=finest, source=f"{source}, but no finer than the gauge reads")
    return Bounds(high=high, source=source)


def level(on: On) -> Bounds:
    """Difference of the ends by which a printed wall leans no further than is allowed."""
    for_one = alignment.wall_lean_mm(
        difference_mm=1.0,
        span_mm=float(known(on.after, "guide.span_mm").value),
        height_mm=WALL_MM,
    )
    return Bounds(
        high=WALL_LEAN_MM / for_one,
        source=f"a wall of {WALL_MM:g} mm leans {WALL_LEAN_MM:g} mm at most",
    )


def tone(on: On) -> Bounds:
    """Tone of the tie belt's longest span between the least and the most tension."""
    values: tuple[tuple[str, float | str], ...] = (
        ("span_mm", float(known(on.after, "guide.span_mm").value)),
    )
    if on.changes & {"larger-pulleys", "second-screw-tied"}:
        values += (("screw_teeth", 40),)
    made = worked("belt-loop", on.after, values)
    if isinstance(made, str):
        return Bounds(missing=made)
    return Bounds(
        low=float(made.worked["lowest_hz"]),
        high=float(made.worked["highest_hz"]),
        source="a 6 mm belt of 2 mm pitch over the span of the guides",
    )


def spring_pull(on: On) -> Bounds:
    """Pull of the spring or weight that carries a quarter of the moving part, by a fifth."""
    mass = known(on.after, "gantry.mass_kg")
    pull = (1 - effects_of(on, "weight_n", tuple(CATALOGUE), (Way.TIMES,))[0].middle) * (
        float(mass.value) * GRAVITY_M_PER_S2
    )
    weighed = "as weighed" if not mass.assumed else "assumed, so weigh it"
    return Bounds(
        low=0.8 * pull, high=1.2 * pull, source=f"a quarter of {mass.value:g} kg, {weighed}"
    )


def steps_per_mm_of(machine: Machine) -> float | None:
    """What the controller has to be told, None without the lead."""
    lead = lead_mm(machine)
    if lead is None:
        return None
    return belt_drive.steps_per_mm(
        lead_mm=lead,
        screw_turns_per_motor_turn=gear_of(machine),
        full_steps_per_turn=int(known(machine, "motor.full_steps_per_turn").value),
        microsteps=int(known(machine, "motor.microsteps").value),
    )


def steps_told(on: On) -> Bounds:
    """The value that lead, steps and pulleys give, to its last digit."""
    steps = steps_per_mm_of(on.after)
    if steps is None:
        return Bounds(missing=LEAD)
    return Bounds(low=steps - 0.01, high=steps + 0.01, source="lead, steps and pulleys")


def verify_u_mm() -> float:
    """By how much a move of 100 mm may read off with calipers and a light screw, mm: what two
    caliper readings tell apart, and what the screw's class keeps in lead.

    Example:
        >>> round(verify_u_mm(), 2)
        0.12
    """
    return CALIPER_MM + screw_thread.lead_deviation_mm(grade=SCREW_GRADE, length_mm=OVER_MM)


def hundred(_: On) -> Bounds:
    """What a move of 100 mm may read."""
    off = verify_u_mm()
    return Bounds(
        low=OVER_MM - off,
        high=OVER_MM + off,
        source=f"calipers to {rounded(CALIPER_MM, 2)} mm, lead of a light screw",
    )


def step_grid(on: On) -> Bounds:
    """Heights after which the motor meets the same four full steps again."""
    lead = lead_mm(on.after)
    if lead is None:
        return Bounds(missing=LEAD)
    teeth = int(known(on.after, "motor.full_steps_per_turn").value) // motor.STEPS_PER_CYCLE
    cycle = motor.STEPS_PER_CYCLE * motor.largest_error_mm(lead_mm=lead, rotor_teeth=teeth)
    return Bounds(multiple=cycle * gear_of(on.after), source="four full steps")
