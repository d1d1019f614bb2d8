"""Belt loop: which belt to buy, how tight, and what it does to the two ends of the beam."""

from __future__ import annotations

from math import pi

from plumbrise.cautions import FALLING_GANTRY, PINCH, STORED_TENSION
from plumbrise.elements import belt_drive, belt_tension
from plumbrise.elements.belt_pulley import BELT_PITCH_MM, FEWEST_IN_MESH
from plumbrise.elements.belt_stock import STOCK_LENGTHS_MM, Fit, nearest_stock
from plumbrise.elements.belt_tension import Window
from plumbrise.elements.calculators.belt_layout import LAYOUT, Layout, layout_of
from plumbrise.elements.calculators.belt_tightness import (
    heard,
    held_near,
    tension_sums,
    window_of,
)
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_BELT, _DRIVE, _LOAD = "The belt", "Motor and screws", "What it carries"
SHIGLEY = "Shigley's Mechanical Engineering Design, eq. 17-1 and 17-2"

ASKED = (
    *LAYOUT,
    Asked("belt_pitch_mm", "distance of the teeth", "mm", BELT_PITCH_MM, _CP, low=0.5, high=20,
          group=_BELT, field="drive.belt_pitch_mm", factor=1.0),
    Asked("stock", "a length that can be bought; a usual range where none is given", each=(
        Asked("length_mm", "its length", "mm", low=20, high=20_000),), group=_BELT),
    Asked("width_mm", "width of the belt", "mm", 6.0, _CP, low=1, high=50, group=_BELT),
    Asked("strand_n", "E A of a strand: the force that would stretch it to double its length",
          "N", belt_drive.BELT_6_MM_N, _CP, low=100, high=1e6, group=_BELT),
    Asked("mass_g_per_m", "mass of a metre of it", "g/m", 8.5, _CP, low=0.5, high=200,
          group=_BELT),
    Asked("heard_hz", "tone of its longest span, plucked, if you hear or measure it", "Hz", low=1,
          high=5000, optional=True, group=_BELT),
    Asked("lead_mm", "travel of the screws in a turn", "mm", 8.0, _GUESS, low=0.5, high=100,
          group=_DRIVE, field="screw.lead_mm"),
    Asked("full_steps", "full steps of the motor in a turn", "", 200, _CP, low=4, high=10_000,
          whole=True, group=_DRIVE, field="motor.full_steps_per_turn"),
    Asked("microsteps", "microsteps in a full step", "", 16, _CP, low=1, high=1024, whole=True,
          group=_DRIVE, field="motor.microsteps"),
    Asked("torque_nmm", "most torque that a screw takes", "N·mm", 30.0, _GUESS, low=0,
          high=1e5, group=_LOAD),
    Asked("swing_nmm", "by how much the torque of a screw changes between up and down", "N·mm",
          20.0, _GUESS, low=0, high=1e5, group=_LOAD),
    Asked("side_load_n", "side load that the shaft with the motor bears", "N",
          belt_tension.MOTOR_RADIAL_N, _CP, low=1, high=10_000, group=_LOAD),
    Asked("overhang_mm", "from the bearing of a screw to the middle of its pulley", "mm", 12.0,
          _GUESS, low=0.5, high=200, group=_LOAD),
    Asked("end_diameter_mm", "thickness of the screw there, at the root", "mm", 5.5, _CP, low=1,
          high=50, group=_LOAD),
    Asked("allowed_bend_mm", "how far the belt may bend it", "mm", 0.02, _CP, low=0.001, high=5,
          group=_LOAD),
    Asked("allowed_left_right_mm", "left-right difference that wind-up may make", "mm", 0.02, _CP,
          low=0.0001, high=10, group=_LOAD),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Length, stock, meshes, steps, tension, tone, shaft loads and wind-up of one loop."""
    layout = layout_of(given)
    fits = nearest_stock(
        layout.pulleys,
        moved=layout.moved,
        direction_deg=given.known("move_deg"),
        reach_mm=given.number("reach_mm"),
        belt_pitch_mm=given.number("belt_pitch_mm"),
        stock_mm=[item.number("length_mm") for item in given.items("stock")] or STOCK_LENGTHS_MM,
    )
    window = window_of(given, layout)
    sums = (
        *_way_sums(layout),
        *_stock_sums(layout, fits, ("stock",) if given.items("stock") else ()),
        *_step_sums(given, layout),
        *tension_sums(given, layout, window),
        *_wind_up_sums(given, layout),
    )
    return Worked(
        sums,
        _verdicts(given, layout, fits, window, sums),
        warnings=_warnings(layout),
        cautions=(STORED_TENSION, PINCH, FALLING_GANTRY),
    )


def _way_sums(layout: Layout) -> tuple[Sum, ...]:
    length = Sum(
        "length_mm", "length of the belt's way", "L", "spans + arcs", layout.inputs,
        layout.found.length_mm, "mm", 6, f"tangents of circles; {SHIGLEY}",
    )  # fmt: skip
    wraps = tuple(
        Sum(f"wrap_{arc.pulley.name}_deg", f"wrap on {arc.pulley.name}", "θ",
            "turn of the belt on it", layout.inputs, arc.wrap_deg, "°", 4)
        for arc in layout.found.arcs
    )  # fmt: skip
    meshes = tuple(
        Sum(f"mesh_{arc.pulley.name}", f"teeth in mesh on {arc.pulley.name}", "n",
            "z θ / 360°, whole ones", (f"wrap_{arc.pulley.name}_deg", *layout.inputs),
            arc.teeth_in_mesh, "", len(str(arc.teeth_in_mesh)), "ISO 5295")
        for arc in layout.found.arcs
        if arc.teeth_in_mesh is not None
    )  # fmt: skip
    return (length, *wraps, *meshes)


def _stock_sums(layout: Layout, fits: tuple[Fit, ...], stock: tuple[str, ...]) -> tuple[Sum, ...]:
    """A line for each stock length within reach: how far out, in if negative."""
    return tuple(
        Sum(f"shift_{fit.length_mm:g}_mm",
            f"{layout.moved} moved out for {fit.length_mm:g} mm, {fit.teeth} teeth", "s",
            "L(s) = stock length", (*layout.inputs, "moved", "move_deg", "reach_mm", *stock),
            fit.shift_mm, "mm", 3, "numerical inverse of the length")
        for fit in fits
        if fit.shift_mm is not None
    )  # fmt: skip


def _step_sums(given: Given, layout: Layout) -> tuple[Sum, ...]:
    lead, screw = given.number("lead_mm"), layout.driven[0]
    ratio = belt_drive.screw_turns_per_motor_turn(
        motor_teeth=layout.teeth(layout.driver), screw_teeth=layout.teeth(screw)
    )

    def travel_mm(microsteps: int) -> float:
        return belt_drive.travel_per_step_mm(
            lead_mm=lead,
            screw_turns_per_motor_turn=ratio,
            full_steps_per_turn=given.count("full_steps"),
            microsteps=microsteps,
        )

    told_mm = travel_mm(given.count("microsteps"))
    uses = ("lead_mm", "ratio", "full_steps")
    tooth = belt_drive.tooth_offset_mm(lead_mm=lead, screw_teeth=layout.teeth(screw))
    return (
        Sum("ratio", "turns of a screw for one of the motor", "i", "z_motor / z_screw",
            layout.inputs, ratio, "", 4),
        Sum("full_step_mm", "height of a full step", "Δz", "lead i / N", uses,
            travel_mm(1), "mm", 4),
        Sum("microstep_mm", "height of a microstep, as told", "Δz_m", "lead i / (N m)",
            (*uses, "microsteps"), told_mm, "mm",
            4),
        Sum("steps_per_mm", "steps that the controller sends for a millimetre", "n",
            "N m / (lead i)", (*uses, "microsteps"),
            1 / told_mm, "/mm", 4),
        Sum("tooth_mm", "height of one tooth on a screw's pulley", "Δz_t", "lead / z",
            ("lead_mm", *layout.inputs), tooth, "mm", 3),
        Sum("tooth_tilt_deg", "tilt of the beam by one tooth", "α", "atan(Δz_t / S)",
            ("tooth_mm", *layout.inputs),
            belt_drive.tilt_deg(offset_mm=tooth, span_mm=layout.span_mm), "°", 2),
    )  # fmt: skip


def _wind_up_sums(given: Given, layout: Layout) -> tuple[Sum, ...]:
    wound = belt_drive.wind_up(
        layout.found,
        axial_stiffness_n=given.number("strand_n"),
        held=layout.driver,
        torques_nmm={name: given.number("swing_nmm") for name in layout.driven},
    )
    heights = [given.number("lead_mm") * wound.turned_rad[n] / (2 * pi) for n in layout.screws]
    uses = ("swing_nmm", "strand_n", "lead_mm", *layout.inputs)
    return (
        Sum("left_right_mm", "left-right difference by wind-up of the belt", "Δz_w",
            "lead Δφ / 2π; for two like pulleys φ = M l / (2 E A r²)", uses,
            max(heights) - min(heights), "mm", 2, "linear springs"),
        Sum("wind_up_mm", "height of a screw behind the motor by it, the most", "z_w",
            "lead φ / 2π", uses, max(map(abs, heights)), "mm", 2, "linear springs"),
    )  # fmt: skip


def _verdicts(
    given: Given, layout: Layout, fits: tuple[Fit, ...], window: Window, sums: tuple[Sum, ...]
) -> tuple[Verdict, ...]:
    value = {one.name: one.value for one in sums}
    apart, allowed = float(value["left_right_mm"]), given.number("allowed_left_right_mm")
    meshes = {n: layout.arc(n).teeth_in_mesh or 0 for n in (layout.driver, *layout.screws)}
    poorest = min(meshes, key=lambda name: meshes[name])
    return (
        _to_buy(layout, fits),
        Verdict(
            f"Fewest teeth in mesh: {meshes[poorest]}, on {poorest}. {FEWEST_IN_MESH} carry "
            "safely.",
            meshes[poorest] >= FEWEST_IN_MESH,
        ),
        Verdict(
            f"Tighten to {rounded(window.lowest_n, 2)} to {rounded(window.highest_n, 2)} N a "
            f"strand: the longest span sounds at {rounded(float(value['lowest_hz']), 2)} to "
            f"{rounded(float(value['highest_hz']), 2)} Hz."
            if window.open
            else f"No tension does: {window.needs[0].because} from "
            f"{rounded(window.lowest_n, 2)} N on, but {window.bears[0].because} at "
            f"{rounded(window.highest_n, 2)} N.",
            window.open,
        ),
        Verdict(
            f"Wind-up makes the screws differ by {rounded(apart, 2)} mm; {allowed:g} mm are "
            "allowed.",
            apart <= allowed,
            ("allowed_left_right_mm",),
        ),
        held_near(given, float(value["furthest_mm"])),
        *heard(given, layout, window),
        *_unlike(layout),
    )


def _to_buy(layout: Layout, fits: tuple[Fit, ...]) -> Verdict:
    """The stock length that moves the pulley least."""
    near = min(
        (fit for fit in fits if fit.shift_mm is not None),
        key=lambda fit: abs(fit.shift_mm or 0.0),
        default=None,
    )
    if near is None or near.shift_mm is None:
        return Verdict(
            f"No stock length fits within the reach of {layout.moved}.", False, ("reach_mm",)
        )
    way = "out" if near.shift_mm >= 0 else "in"
    return Verdict(
        f"Nearest stock length: {near.length_mm:g} mm, {near.teeth} teeth. {layout.moved} moves "
        f"{rounded(abs(near.shift_mm), 3)} mm {way} for it.",
        True,
    )


def _unlike(layout: Layout) -> tuple[Verdict, ...]:
    """Screws that turn by different amounts rack the beam with every millimetre."""
    teeth = {layout.teeth(name) for name in layout.screws}
    if len(teeth) == 1:
        return ()
    return (
        Verdict(
            f"The screws have pulleys of {' and '.join(map(str, sorted(teeth)))} teeth: they turn "
            "by different amounts and the beam racks more with every millimetre.",
            False,
        ),
    )


def _warnings(layout: Layout) -> tuple[str, ...]:
    told = [
        "Set both ends level on equal blocks before the pulleys are clamped, and mark a tooth on "
        "each: a skipped tooth is then seen.",
        "Stock lengths differ between shops. Look up the one that you will buy before anything "
        "is drilled, and leave slot both ways: inwards to get it on, outwards to tighten it.",
    ]
    if any(pulley.outside for pulley in layout.pulleys):
        told.append(
            "A roller on the back of the belt bends it the other way: make it as large as the "
            "smallest pulley at least, and put it where the belt goes slack."
        )
    return tuple(told)


CALCULATOR = Calculator(
    kind="belt-loop",
    title="Belt loop",
    purpose="Which belt ties the screws, how tight, how it sounds, and what it costs in height.",
    asked=ASKED,
    work=work,
    example="--span-mm 340 --screw-teeth 36 --lead-mm 8",
)
