"""The changes that can be made to an axis: one record each, from which choosing, parts list, work
order, page and report draw.

Effects, prices and hours are typical of light screw axes: common practice, no source, unless a
note says otherwise. Prices are not offers; a person's own come from a file of theirs.
"""

from __future__ import annotations

from plumbrise.redesign.changes import Change, Effect, Part, Span, Way

_TO, _MOST, _LEAST, _TIMES = Way.TO, Way.AT_MOST, Way.AT_LEAST, Way.TIMES
_ONE, _TWO, _TIED, _THREE = "one-screw", "two-screw", "two-screw-tied", "three-screw-bed"
_NUT = ("new-nut", "split-nut", "floating-nut")
_SCREW = ("straight-screw", "short-lead-screw")


def _effect(
    entry: str, way: Way, middle: float, spread: float, cause: str = "", where: str = "all"
) -> Effect:
    return Effect(entry=entry, way=way, middle=middle, spread=spread, cause=cause, where=where)


_CARRIED = (
    _effect("seat_stiffness_n_per_mm", _LEAST, 1500.0, 0.35, "motor-seat", "driven"),
    _effect("seat_travel_mm", _MOST, 0.02, 0.4, "motor-seat", "driven"),
    _effect("coupling_stiffness_n_per_mm", _LEAST, 3000.0, 0.3, "coupling-stretch", "driven"),
    _effect("end_float_mm", _MOST, 0.01, 0.4, "", "driven"),
    _effect("term:coupling-slip", _TIMES, 0.1, 0.5, "coupling-slip"),
)
"""What a bearing under the screw that carries the weight to the frame does."""
_NEW_SCREW = (
    _effect("seat_stiffness_n_per_mm", _TO, 1500.0, 0.35, "", "new"),
    _effect("seat_travel_mm", _TO, 0.02, 0.4, "", "new"),
    _effect("coupling_stiffness_n_per_mm", _TO, 3000.0, 0.3, "", "new"),
    _effect("bracket_stiffness_n_per_mm", _TO, 500.0, 0.5, "", "new"),
    _effect("play_mm", _TO, 0.03, 0.5, "", "new"),
)
_NEW_SCREW_ON_MOTOR = (
    _effect("seat_stiffness_n_per_mm", _TO, 400.0, 0.8, "", "new"),
    _effect("seat_travel_mm", _TO, 0.07, 0.6, "", "new"),
    _effect("coupling_stiffness_n_per_mm", _TO, 300.0, 0.8, "", "new"),
    _effect("bracket_stiffness_n_per_mm", _TO, 500.0, 0.5, "", "new"),
    _effect("play_mm", _TO, 0.03, 0.5, "", "new"),
)

_BEARING_PARTS = (
    Part(
        name="Thrust bearing",
        size="bore {screw_diameter_mm} mm",
        note="Three pieces: the washer that fits the screw turns with it, the one with the larger "
        "bore rests on the block.",
        lead_days=7,
        measure_first="Diameter of the screw where the bearing sits, at two places a quarter turn "
        "apart; height left between coupling and nut at the lowest position.",
    ),
    Part(
        name="Clamp collar",
        size="bore {screw_diameter_mm} mm",
        note="Its face square to the bore within 0.1 mm over the washer: it is the shoulder that "
        "brings the weight onto the bearing.",
        lead_days=7,
    ),
    Part(
        name="Bearing block",
        size="bore for the bearing's housing washer, faces square within 0.1 mm",
        note="Metal, or printed with solid walls; no pulley or collar may rub on it.",
        printed=True,
        measure_first="Where on the frame it can be screwed down in line with the screw.",
    ),
    Part(name="Shims", size="0.05 to 0.2 mm", count=4, note="To set the block square."),
)
_SCREW_PARTS = (
    Part(
        name="Lead screw",
        size="{screw_diameter_mm} mm, lead {lead_mm} mm, {screw_length_mm} mm long",
        note="Straight within 0.1 mm over 300 mm: roll it on a flat plate before it goes in.",
        lead_days=14,
        measure_first="Length of the screw that is there, and the free height above the nut at the "
        "top of the travel.",
    ),
    Part(
        name="Nut",
        size="for {screw_diameter_mm} mm, lead {lead_mm} mm",
        lead_days=14,
        measure_first="Diameter of flange, body and hole circle of the nut that is there: they "
        "differ between makes.",
    ),
)

_FAR_BRACKET = Part(
    name="Nut bracket",
    size="for the nut, at the far end of the beam",
    printed=True,
    lead_days=3,
    measure_first="Holes at the far end of the beam, and the height free below it.",
)

_ALL = (
    Change(
        id="clean-screw",
        title="Clean and grease the screw",
        words="Wipe the thread, run the nut over it, remove burrs, and put a thin film of grease "
        "on the thread only.",
        effects=(
            _effect("drag_n", _TIMES, 0.88, 0.1, "guide-drag"),
            _effect("spot_strength", _TIMES, 0.5, 0.5, "tight-spot"),
            _effect("stiction", _TIMES, 0.5, 0.5, "stick-slip"),
            _effect("thread_friction", _TIMES, 0.75, 0.15),
        ),
        hours=Span(0.2, 0.3, 0.6),
        per_screw=True,
        tools=("lint-free cloth", "fine file or stone", "light grease"),
        side_effects=(
            "With less friction the gantry may run down by itself when the motors are off.",
            "Grease on rollers or belt makes them slip: keep it on the thread.",
        ),
        hazards=("falling-gantry", "pinch"),
        sizing=("screw",),
    ),
    Change(
        id="square-frame",
        title="Square the uprights",
        words="Set the uprights equally far apart at bottom, middle and top, and square to the "
        "base; run to each end and tighten there.",
        effects=(
            _effect("spot_strength", _TIMES, 0.5, 0.5, "tight-spot"),
            _effect("misalignment_n", _TIMES, 0.6, 0.35, "thread-misalignment"),
            _effect("drag_n", _TIMES, 0.88, 0.12, "guide-drag"),
            _effect("stiffness_n_per_mm", _TIMES, 1.3, 0.25, "frame-flex"),
        ),
        hours=Span(0.6, 1.2, 2.5),
        tools=("square", "inside calipers or a rod of fixed length", "hex keys"),
        side_effects=("Zero and tramming of the bed shift.",),
        hazards=("falling-gantry", "pinch"),
        sizing=("alignment", "frame"),
        moves_zero=True,
    ),
    Change(
        id="set-rollers",
        title="Set the guides without shake and without squeeze",
        words="Turn the eccentrics (or shim the carriages) at both ends until a roller can just be "
        "slipped with a finger and nothing shakes.",
        effects=(
            _effect("drag_n", _MOST, 2.2, 0.35, "guide-drag"),
            _effect("racking_n_per_mm", _TIMES, 1.3, 0.25, "racking"),
            _effect("tilting_n_per_mm", _TIMES, 1.3, 0.25, "racking"),
            _effect("droop_mm", _TIMES, 0.4, 0.5, "droop"),
        ),
        hours=Span(0.2, 0.4, 0.8),
        tools=("spanner for the eccentrics", "square"),
        side_effects=(
            "Guides that were tight also held the gantry up: it may now run down by itself.",
            "Look again at squareness and at the height of both ends.",
        ),
        hazards=("falling-gantry", "pinch"),
        moves_zero=True,
    ),
    Change(
        id="align-nut",
        title="Let nut and motor find their line",
        words="Loosen the screws of nut and motor, run to the end where the screw is held, tighten "
        "there.",
        effects=(
            _effect("misalignment_n", _TIMES, 0.25, 0.5, "thread-misalignment"),
            _effect("drag_n", _TIMES, 0.95, 0.06, "guide-drag"),
            _effect("term:screw-bend", _TIMES, 0.75, 0.25, "screw-bend"),
        ),
        hours=Span(0.3, 0.5, 1.0),
        per_screw=True,
        tools=("hex keys",),
        side_effects=("The height of the gantry shifts: home and set the nozzle anew.",),
        hazards=("falling-gantry", "pinch"),
        sizing=("alignment",),
        moves_zero=True,
    ),
    Change(
        id="free-top",
        title="Free the top of the screw",
        words="Take the bearing at the top of the screw out, so that the screw follows the nut.",
        effects=(
            _effect("term:screw-bend", _TIMES, 0.4, 0.4, "screw-bend"),
            _effect("misalignment_n", _TIMES, 0.4, 0.5, "thread-misalignment"),
            _effect("spot_strength", _TIMES, 0.7, 0.3, "tight-spot"),
        ),
        hours=Span(0.1, 0.2, 0.4),
        machine=(("screw.top_end", "free"),),
        only_if=(("screw.top_end", ("held",)),),
        tools=("hex keys",),
        side_effects=("A free end may whirl at fast lifts.",),
        hazards=("pinch",),
        sizing=("screw",),
        frees="the top of the screw sideways",
    ),
    Change(
        id="tighten-clamps",
        title="Clean and tighten the clamps",
        words="Degrease shaft and screw ends, tighten the clamps of coupling and pulleys, draw a "
        "line across each joint, and look at it after fifty strokes.",
        effects=(
            _effect("term:coupling-slip", _TIMES, 0.05, 0.6, "coupling-slip"),
            _effect("hold_n", _TIMES, 3.0, 0.3, "coupling-slip"),
        ),
        hours=Span(0.2, 0.4, 0.8),
        tools=("hex keys", "solvent", "paint pen"),
        side_effects=("The zero shifts.",),
        hazards=("falling-gantry", "pinch"),
        moves_zero=True,
    ),
    Change(
        id="ball-in-coupling",
        title="Ball between motor shaft and screw",
        words="A steel ball inside the coupling lets the screw stand on the motor shaft, so that "
        "the coupling only turns.",
        effects=(
            _effect("coupling_stiffness_n_per_mm", _TIMES, 5.0, 0.4, "coupling-stretch", "driven"),
            _effect("term:coupling-slip", _TIMES, 0.3, 0.6, "coupling-slip"),
        ),
        cost=Span(0.0, 2.0, 5.0),
        hours=Span(0.4, 0.6, 1.2),
        per_screw=True,
        only_if=(
            ("coupling.kind", ("helical", "jaw", "slotted-disc")),
            ("bearing.carries_weight", ("motor",)),
            ("arrangement", (_ONE, _TWO, _THREE)),
        ),
        excludes=("thrust-bearing", "rigid-coupling"),
        tools=("hex keys",),
        parts=(
            Part(
                name="Steel ball",
                size="4 to 6 mm, smaller than the bore of the coupling",
                lead_days=5,
                measure_first="Bore of the coupling, and whether both ends have a centre.",
            ),
        ),
        side_effects=(
            "The weight now stands on the motor's own bearings: its soft seat stays.",
            "It holds in compression only; pulled upward the coupling still stretches.",
        ),
        hazards=("falling-gantry", "pinch"),
        sizing=("coupling", "bearing"),
        moves_zero=True,
    ),
    Change(
        id="rigid-coupling",
        title="Coupling that is stiff along its axis",
        words="A coupling stiff along its axis in place of one that stretches.",
        effects=(
            _effect("coupling_stiffness_n_per_mm", _LEAST, 2000.0, 0.4, "coupling-stretch"),
            _effect("term:coupling-slip", _TIMES, 0.2, 0.6, "coupling-slip"),
            _effect("term:screw-bend", _TIMES, 1.25, 0.25),
        ),
        cost=Span(4.0, 8.0, 18.0),
        hours=Span(0.5, 1.0, 2.0),
        per_screw=True,
        machine=(("coupling.kind", "rigid"),),
        only_if=(("coupling.kind", ("helical", "jaw", "slotted-disc")),),
        excludes=("ball-in-coupling",),
        tools=("hex keys", "dial gauge"),
        parts=(
            Part(
                name="Rigid clamp coupling",
                size="motor shaft to {screw_diameter_mm} mm screw",
                lead_days=7,
                measure_first="Diameters of motor shaft and screw end; run-out of the screw at the "
                "coupling, which must stay under 0.05 mm.",
            ),
        ),
        side_effects=("It passes every error of line between motor and screw on as a side force.",),
        hazards=("falling-gantry", "pinch"),
        sizing=("coupling", "alignment"),
        holds="the screw end in line with the motor shaft",
        moves_zero=True,
    ),
    Change(
        id="thrust-bearing",
        title="Thrust bearing that carries the weight",
        words="A collar on the screw rests on a thrust bearing on the frame; motor and coupling "
        "then only turn.",
        effects=_CARRIED,
        cost=Span(8.0, 16.0, 35.0),
        hours=Span(1.5, 2.5, 4.0),
        per_screw=True,
        machine=(("bearing.carries_weight", "thrust-bearing"),),
        only_if=(("bearing.carries_weight", ("motor",)),),
        excludes=("ball-in-coupling",),
        tools=("hex keys", "square", "feeler leaves", "dial gauge"),
        parts=_BEARING_PARTS,
        side_effects=(
            "Fix the screw along its axis at this end only: a second fixed end jams with warmth.",
            "Adds a little friction torque.",
        ),
        hazards=("falling-gantry", "pinch", "metal-chips"),
        sizing=("bearing", "alignment", "stack-up"),
        holds="the screw along its axis",
        moves_zero=True,
    ),
    Change(
        id="stiff-bracket",
        title="Stiffer nut bracket",
        words="A thicker or ribbed bracket, or a shorter arm between nut and beam.",
        effects=(
            _effect("bracket_stiffness_n_per_mm", _TIMES, 3.0, 0.35, "bracket-flex", "driven"),
        ),
        cost=Span(2.0, 7.0, 20.0),
        hours=Span(1.0, 2.0, 3.5),
        per_screw=True,
        tools=("hex keys", "drill"),
        parts=(
            Part(
                name="Nut bracket",
                size="as the old one, twice as thick or ribbed",
                printed=True,
                lead_days=3,
                measure_first="Hole spacing of the old bracket, height left below the beam at the "
                "lowest position.",
            ),
        ),
        side_effects=("The nut must find its line again.",),
        hazards=("falling-gantry", "pinch", "metal-chips"),
        sizing=("beam", "alignment"),
        moves_zero=True,
    ),
    Change(
        id="new-nut",
        title="New plain nut",
        words="A fresh nut of the same kind.",
        effects=(_effect("play_mm", _MOST, 0.04, 0.4, "nut-play"),),
        cost=Span(3.0, 6.0, 14.0),
        hours=Span(0.6, 1.0, 1.8),
        per_screw=True,
        machine=(("nut.kind", "plain"),),
        excludes=_NUT,
        tools=("hex keys",),
        parts=(_SCREW_PARTS[1],),
        hazards=("falling-gantry", "pinch"),
        sizing=("nut",),
        moves_zero=True,
    ),
    Change(
        id="split-nut",
        title="Spring-split nut",
        words="A nut in two halves that a spring drives apart; the solid half carries the weight.",
        effects=(
            _effect("play_mm", _MOST, 0.006, 0.5, "nut-play"),
            _effect("drag_n", _TIMES, 1.05, 0.05),
        ),
        cost=Span(5.0, 10.0, 20.0),
        hours=Span(0.6, 1.0, 1.8),
        per_screw=True,
        machine=(("nut.kind", "split"),),
        only_if=(("nut.kind", ("plain", "floating")),),
        excludes=_NUT,
        tools=("hex keys",),
        parts=(
            Part(
                name="Spring-split nut",
                size="for {screw_diameter_mm} mm, lead {lead_mm} mm",
                lead_days=10,
                measure_first="Flange, body and hole circle of the old nut; height that the second "
                "half needs.",
            ),
        ),
        side_effects=(
            "More torque and wear; upside down the spring carries the weight and opens.",
        ),
        hazards=("falling-gantry", "pinch", "stored-tension"),
        sizing=("nut",),
        moves_zero=True,
    ),
    Change(
        id="floating-nut",
        title="Nut that floats sideways",
        words="A mount that lets the nut move sideways both ways but holds its height and keeps it "
        "from turning.",
        effects=(
            _effect("term:screw-bend", _TIMES, 0.35, 0.4, "screw-bend"),
            _effect("misalignment_n", _TIMES, 0.3, 0.4, "thread-misalignment"),
            _effect("spot_strength", _TIMES, 0.7, 0.3, "tight-spot"),
        ),
        cost=Span(10.0, 22.0, 45.0),
        hours=Span(1.0, 1.5, 2.5),
        per_screw=True,
        machine=(("nut.kind", "floating"),),
        only_if=(("nut.kind", ("plain", "split")), ("arrangement", (_ONE,))),
        excludes=(*_NUT, "second-screw-tied", "second-screw-motor"),
        tools=("hex keys", "dial gauge"),
        parts=(
            Part(
                name="Floating nut mount",
                size="for the nut of the {screw_diameter_mm} mm screw",
                lead_days=10,
                note="Held against lifting off: it must not come apart when the gantry hangs.",
                measure_first="Height that the mount takes between nut and beam.",
            ),
        ),
        side_effects=(
            "Unless it is held against lifting, the gantry can hang and drop later.",
            "It takes some height of the travel.",
        ),
        hazards=("falling-gantry", "pinch"),
        sizing=("nut", "stack-up"),
        frees="the nut sideways",
        moves_zero=True,
    ),
    Change(
        id="straight-screw",
        title="Straighter screw",
        words="Another screw of the same lead, rolled on a flat plate before it goes in.",
        effects=(
            _effect("term:screw-bend", _TIMES, 0.35, 0.4, "screw-bend"),
            _effect("term:lead-error", _TIMES, 0.6, 0.4, "lead-error"),
            _effect("spot_strength", _TIMES, 0.6, 0.4, "tight-spot"),
            _effect("play_mm", _MOST, 0.04, 0.4, "nut-play"),
        ),
        cost=Span(10.0, 18.0, 40.0),
        hours=Span(1.0, 1.8, 3.0),
        per_screw=True,
        excludes=_SCREW,
        tools=("hex keys", "flat plate"),
        parts=_SCREW_PARTS,
        hazards=("falling-gantry", "pinch", "metal-chips"),
        sizing=("screw", "nut"),
        moves_zero=True,
    ),
    Change(
        id="short-lead-screw",
        title="Screw with a lead of 2 mm",
        words="A single-start screw and nut of 2 mm lead: finer steps, and it does not run down.",
        effects=(
            _effect("term:microstep-error", _TIMES, 0.25, 0.15, "microstep-error"),
            _effect("term:lead-error", _TIMES, 0.8, 0.4, "lead-error"),
            _effect("play_mm", _MOST, 0.04, 0.4, "nut-play"),
        ),
        cost=Span(12.0, 22.0, 45.0),
        hours=Span(1.5, 2.2, 3.5),
        per_screw=True,
        machine=(("screw.lead_mm", 2.0), ("screw.starts", 1.0)),
        only_if=(("screw.starts", ("2", "4")),),
        excludes=_SCREW,
        tools=("hex keys", "calipers"),
        parts=(
            Part(
                name="Lead screw",
                size="{screw_diameter_mm} mm, lead 2 mm, {screw_length_mm} mm long",
                note="Straight within 0.1 mm over 300 mm.",
                lead_days=14,
                measure_first="Length of the screw that is there.",
            ),
            Part(
                name="Nut",
                size="for {screw_diameter_mm} mm, lead 2 mm",
                lead_days=14,
                measure_first="Flange, body and hole circle of the old nut.",
            ),
        ),
        side_effects=(
            "Lifts four times as slowly at the same motor speed.",
            "Steps per mm change: set and check them before the first print.",
        ),
        hazards=("falling-gantry", "pinch", "metal-chips"),
        sizing=("screw", "motor"),
        moves_zero=True,
    ),
    Change(
        id="stiff-carriages",
        title="Longer carriages or a stiffer joint to the beam",
        words="Spread the rollers further apart and stiffen the joint of beam and carriage.",
        effects=(
            _effect("racking_n_per_mm", _TIMES, 2.2, 0.35, "racking"),
            _effect("droop_mm", _TIMES, 0.6, 0.3, "droop"),
        ),
        cost=Span(8.0, 18.0, 45.0),
        hours=Span(2.0, 3.0, 5.0),
        only_if=(("arrangement", (_ONE,)), ("guide.kind", ("rollers",))),
        tools=("hex keys", "drill", "square"),
        parts=(
            Part(
                name="Carriage plates",
                size="rollers 1.4 times as far apart as now",
                count=2,
                lead_days=10,
                measure_first="Distance of the rollers now, and the height free above and below.",
            ),
        ),
        side_effects=("May take some height of the travel.",),
        hazards=("falling-gantry", "pinch", "metal-chips"),
        sizing=("frame",),
        moves_zero=True,
    ),
    Change(
        id="counterweight",
        title="Counterweight or constant-force spring at the far side",
        words="A cord with a weight, or a spring of constant force, carries part of the far side.",
        effects=(
            _effect("weight_n", _TIMES, 0.75, 0.06),
            _effect("droop_mm", _TIMES, 0.15, 0.5, "droop"),
        ),
        cost=Span(4.0, 10.0, 25.0),
        hours=Span(1.0, 2.0, 3.5),
        only_if=(("arrangement", (_ONE,)),),
        excludes=("second-screw-tied", "second-screw-motor"),
        tools=("hex keys", "drill"),
        parts=(
            Part(
                name="Constant-force spring",
                size="about a quarter of the gantry's weight",
                lead_days=10,
                measure_first="Weight of the far side with a spring balance, motor off and blocks "
                "under both ends.",
            ),
        ),
        side_effects=(
            "Less weight holds the nut on its flank: play that gravity hid may open.",
            "It takes out a standing tilt, not a lag: that comes from drag.",
        ),
        hazards=("falling-gantry", "pinch", "stored-tension"),
        sizing=("nut",),
        moves_zero=True,
    ),
    Change(
        id="second-screw-tied",
        title="Second screw, tied by a belt",
        words="A second screw at the far side on its own bearing, turned by the first through a "
        "belt at the top or bottom.",
        effects=(
            *_CARRIED,
            *_NEW_SCREW,
            _effect("lag_mm", _TO, 0.004, 0.6, "", "new"),
            _effect("wind_up_mm_per_n", _TO, 3e-4, 0.6, "", "new"),
            _effect("droop_mm", _TIMES, 0.05, 0.5, "droop"),
        ),
        cost=Span(45.0, 80.0, 150.0),
        hours=Span(4.0, 6.0, 10.0),
        machine=(("arrangement", _TIED), ("bearing.carries_weight", "thrust-bearing")),
        only_if=(("arrangement", (_ONE,)),),
        excludes=("second-screw-motor", "thrust-bearing", "ball-in-coupling", "stiff-carriages"),
        tools=("hex keys", "square", "feeler leaves", "dial gauge", "drill"),
        parts=(
            *_SCREW_PARTS,
            *(
                Part(
                    name=part.name,
                    size=part.size,
                    count=2 * part.count,
                    note=part.note,
                    lead_days=part.lead_days,
                    measure_first=part.measure_first,
                    printed=part.printed,
                )
                for part in _BEARING_PARTS
            ),
            _FAR_BRACKET,
            Part(
                name="Radial bearing",
                size="bore {screw_diameter_mm} mm, in a block of its own",
                count=2,
                lead_days=7,
                note="One close to each pulley: a thrust bearing holds nothing sideways, and the "
                "belt pulls with both its strands.",
                measure_first="Where the belt runs, and what each screw is held by there.",
            ),
            Part(
                name="Timing pulley",
                size="40 teeth, bore {screw_diameter_mm} mm, two alike",
                count=2,
                lead_days=10,
                note="Small pulleys let the belt wind up; both must have the same number of teeth.",
            ),
            Part(
                name="Closed timing belt",
                size="{belt}",
                lead_days=10,
                measure_first="Distance of the screw axes where the belt runs, to 0.5 mm, with the "
                "bearings in place.",
            ),
            Part(name="Belt tensioner with idler", size="for the belt", lead_days=10, printed=True),
        ),
        side_effects=(
            "Two screws and two guides fix more than they need: line the screws up with the guides "
            "within 0.1 mm.",
            "The gantry must be level before the pulleys are clamped.",
        ),
        hazards=("falling-gantry", "pinch", "stored-tension", "metal-chips"),
        sizing=("belt-loop", "bearing", "motor", "alignment", "stack-up"),
        sizes=(("screw_teeth", 40),),
        holds="the far end in height",
        moves_zero=True,
    ),
    Change(
        id="second-screw-motor",
        title="Second screw with a motor of its own",
        words="A second motor, coupling and screw at the far side.",
        effects=(*_NEW_SCREW_ON_MOTOR, _effect("droop_mm", _TIMES, 0.05, 0.5, "droop")),
        cost=Span(35.0, 60.0, 120.0),
        hours=Span(3.0, 4.5, 8.0),
        machine=(("arrangement", _TWO),),
        only_if=(("arrangement", (_ONE,)),),
        excludes=("second-screw-tied", "stiff-carriages"),
        tools=("hex keys", "square", "multimeter", "dial gauge", "drill"),
        parts=(
            *_SCREW_PARTS,
            _FAR_BRACKET,
            Part(
                name="Step motor",
                size="as the one that is there: frame {motor_frame_mm} mm, same current",
                lead_days=10,
                measure_first="Resistance of each coil and which contacts belong together.",
            ),
            Part(name="Coupling", size="motor shaft to {screw_diameter_mm} mm screw", lead_days=7),
            Part(name="Motor bracket", size="frame {motor_frame_mm} mm", printed=True, lead_days=7),
            Part(
                name="Motor cable",
                size="as long as from board to motor, and 0.3 m more",
                lead_days=7,
                measure_first="Way of the cable with the gantry at both ends; pins at both plugs.",
            ),
        ),
        side_effects=(
            "Two motors fall out of step by four full steps at a time: level them after power-off.",
            "On one driver two motors in parallel get half the current each.",
        ),
        hazards=("falling-gantry", "pinch", "mains", "metal-chips"),
        sizing=("motor", "alignment", "stack-up"),
        holds="the far end in height",
        moves_zero=True,
    ),
    Change(
        id="tension-belt",
        title="Tension the tie belt",
        words="Bring the tie belt to its working tension by its note, and look at both pulleys' "
        "clamps.",
        effects=(
            _effect("lag_mm", _MOST, 0.006, 0.5, "tie-slack"),
            _effect("wind_up_mm_per_n", _TIMES, 0.6, 0.25, "tie-slack"),
        ),
        hours=Span(0.2, 0.4, 0.8),
        only_if=(("arrangement", (_TIED,)),),
        tools=("hex keys", "a phone that shows the pitch of a tone"),
        side_effects=("Too tight bends the screw ends.",),
        hazards=("pinch", "stored-tension"),
        sizing=("belt-loop",),
    ),
    Change(
        id="larger-pulleys",
        title="Larger pulleys for the tie belt",
        words="Equal pulleys with about twice the teeth: the belt winds up a quarter as far.",
        effects=(
            _effect("lag_mm", _TIMES, 0.5, 0.3, "tie-slack"),
            _effect("wind_up_mm_per_n", _TIMES, 0.28, 0.2, "tie-slack"),
        ),
        cost=Span(10.0, 18.0, 35.0),
        hours=Span(1.0, 1.5, 2.5),
        only_if=(("arrangement", (_TIED,)),),
        tools=("hex keys",),
        parts=(
            Part(
                name="Timing pulley",
                size="40 teeth, bore {screw_diameter_mm} mm, two alike",
                count=2,
                lead_days=10,
            ),
            Part(
                name="Closed timing belt",
                size="{belt}",
                lead_days=10,
                measure_first="Distance of the screw axes where the belt runs.",
            ),
        ),
        hazards=("pinch", "stored-tension"),
        sizing=("belt-loop",),
        sizes=(("screw_teeth", 40),),
        moves_zero=True,
    ),
    Change(
        id="level-screws",
        title="Level the screws against equal blocks",
        words="Motors off, equal blocks under both ends, turn each screw until the beam rests on "
        "both, then lock.",
        effects=(_effect("offset_mm", _TIMES, 0.05, 0.6, "out-of-step"),),
        hours=Span(0.2, 0.4, 0.8),
        only_if=(("arrangement", (_TWO, _TIED, _THREE)),),
        tools=("two equal blocks",),
        side_effects=("With two motors it lasts until one of them slips again.",),
        hazards=("falling-gantry", "pinch"),
        moves_zero=True,
    ),
    Change(
        id="brace-frame",
        title="Gussets or a brace for the uprights",
        words="Gusset plates at the corners or a diagonal brace.",
        effects=(
            _effect("stiffness_n_per_mm", _TIMES, 3.0, 0.4, "frame-flex"),
            _effect("joint_stiffness_n_per_mm", _TIMES, 4.0, 0.4, "frame-flex"),
            _effect("slip_n", _TIMES, 3.0, 0.4, "frame-flex"),
        ),
        cost=Span(5.0, 12.0, 30.0),
        hours=Span(0.6, 1.2, 2.5),
        tools=("hex keys", "square"),
        parts=(
            Part(
                name="Gusset plate or brace",
                size="for uprights of {upright_width_mm} mm",
                count=2,
                lead_days=7,
                measure_first="Slot width and what the gantry needs to pass.",
            ),
        ),
        side_effects=("May hinder access to the bed.",),
        hazards=("pinch",),
        sizing=("frame",),
        moves_zero=True,
    ),
    Change(
        id="steps-per-mm",
        title="Set steps per mm from the thread",
        words="Set the value that lead, steps and pulleys give, and check it over 100 mm with "
        "calipers or blocks.",
        effects=(_effect("term:lead-error", _TIMES, 0.15, 0.5, "lead-error"),),
        hours=Span(0.2, 0.3, 0.5),
        tools=("calipers or blocks of 100 mm",),
        side_effects=("Never set it from a printed cube: squash and shrinkage are in that.",),
        hazards=("pinch",),
        sizing=("motor",),
    ),
    Change(
        id="four-step-layers",
        title="Layer heights of whole groups of four full steps",
        words="Choose layer heights that are whole multiples of four full steps, so that every "
        "layer meets the motor in the same place.",
        effects=(_effect("term:microstep-error", _TIMES, 0.05, 0.5, "microstep-error"),),
        hours=Span(0.1, 0.1, 0.2),
        only_if=(("screw.starts", ("1", "2", "4")),),
        side_effects=("Few layer heights are left to choose from.",),
        sizing=("motor",),
        in_slicer=True,
    ),
    Change(
        id="slow-second-touch",
        title="Home a second time, slowly",
        words="Touch the switch fast, lift 2 mm, touch again at a tenth of the speed.",
        effects=(_effect("term:home-scatter", _TIMES, 0.45, 0.35, "home-scatter"),),
        hours=Span(0.1, 0.2, 0.4),
        side_effects=("The start takes some seconds longer.",),
        hazards=("pinch",),
    ),
    Change(
        id="stiff-switch",
        title="Stiffer bracket for the homing switch",
        words="A metal bracket, two screws, and the switch touched in line with its plunger.",
        effects=(_effect("term:home-scatter", _TIMES, 0.5, 0.35, "home-scatter"),),
        cost=Span(1.0, 4.0, 12.0),
        hours=Span(0.4, 0.8, 1.5),
        parts=(
            Part(
                name="Switch bracket",
                size="metal, or printed solid",
                printed=True,
                lead_days=3,
                measure_first="Hole spacing of the switch and its height above the frame.",
            ),
        ),
        tools=("hex keys",),
        side_effects=("Zero shifts: set the nozzle's height anew before anything moves down.",),
        hazards=("pinch", "mains"),
        moves_zero=True,
    ),
)
CATALOGUE = {change.id: change for change in _ALL}
"""By id, in the order of merit that practice goes by: free things first."""
