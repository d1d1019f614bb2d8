"""The steps of building: one record each, from which work order, sheet and page draw.

Times are those of a person with a little practice, tools and limits of light machines: common
practice, no source, unless a limit says where it comes from. The order within a stage is the
order of the table wherever nothing else decides.
"""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.part_checks import PART_CHECKS, PartCheck
from plumbrise.build.promised import promised, share_of_before
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.redesign import CATALOGUE

_TIED, _MOTOR2 = "second-screw-tied", "second-screw-motor"
SECOND = (_TIED, _MOTOR2)
SETTINGS_ONLY = ("steps-per-mm", "four-step-layers", "slow-second-touch")
"""Changes that take nothing apart."""
EVERY = tuple(CATALOGUE)
OPENS = tuple(change for change in CATALOGUE if change not in SETTINGS_ONLY)
"""Changes for which the machine is held up and opened."""
NUTS = ("new-nut", "split-nut", "floating-nut")
SCREWS = ("straight-screw", "short-lead-screw")
SCREW_OUT = (*NUTS, *SCREWS, "thrust-bearing", _TIED)
"""Changes for which a screw that is there comes out."""
COUPLED = ("ball-in-coupling", "rigid-coupling", *SCREW_OUT)
"""Changes for which a coupling is opened."""
CARRIED = ("thrust-bearing", _TIED)
LINED_UP = ("align-nut", "square-frame", "brace-frame", "stiff-bracket", "stiff-carriages",
            *COUPLED, _MOTOR2)  # fmt: skip
"""Changes after which a screw and its nut must find their line again."""
SQUARED = ("square-frame", "brace-frame", "align-nut", *CARRIED, _MOTOR2)
BELTED = ("tension-belt", "larger-pulleys", _TIED)
LEVELLED = ("level-screws", _MOTOR2)
CLAMPED = ("tighten-clamps", *COUPLED, "larger-pulleys", _MOTOR2)
_COUPLING = (("coupling.kind", ("rigid", "helical", "jaw", "slotted-disc")),)
_HOME = ("slow-second-touch", "stiff-switch")
_FELT = "Felt by hand and looked at; what came of it is measured in a later step."
_KEPT = "Kept to be looked up and compared later; there is no limit to it."
_LOOKED = "Looked at: it is so, or it is not."
_PINCH, _FALL, _PLUG, _HOT = "pinch", "falling-gantry", "plugging", "hot-parts"

_BEFORE = (
    Step(
        id="read-before", stage=Stage.BEFORE, changes=EVERY, minutes=45, mark="ends",
        title="Take the readings before",
        words="Run the set-ups of your plan and keep the readings table: without it nobody can "
        "say later what was won. Same gauge, same places, cold, compensation off.",
        tools=("dial gauge", "readings table"), hazards=(_PINCH, _HOT, _FALL),
        unmeasured=_KEPT,
        fails="Where the readings scatter, mend the stand of the gauge first and read again.",
    ),
    Step(
        id="write-down", stage=Stage.BEFORE, changes=EVERY, minutes=15,
        title="Write the settings down",
        words="From the controller: steps per mm, travel, speeds, currents, directions, homing, "
        "nozzle offset, compensation. Save the file of settings if there is one.",
        tools=("paper or a file",),
        unmeasured=_KEPT,
        fails="If a value cannot be read out, photograph the menu or the file that holds it.",
    ),
    Step(
        id="photograph", stage=Stage.BEFORE, changes=OPENS, minutes=10, mark="motor-shaft",
        title="Photograph wiring and joints, label both ends",
        words="With the machine switched off and its plug out: every plug from two sides, colours "
        "and places to be read; every joint that will be opened. A label on both ends of every "
        "cable.",
        tools=("camera", "labels"), hazards=("mains", _PLUG),
        unmeasured=_KEPT,
        fails="If a colour cannot be told on the picture, take it again with more light.",
    ),
    Step(
        id="measure-first", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="measure-first",
        title="Measure the machine before ordering",
        words="Give the values found as words; order by these and not by a drawing.",
        tools=("calipers", "dial gauge"), hazards=(_PINCH,),
        unmeasured="The values decide what is ordered; the parts are measured when they come.",
        fails="Where a place cannot be reached, order nothing that hangs on it.",
    ),
    Step(
        id="order-parts", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="bought",
        after=("measure-first",),
        title="Order what is bought, what takes longest first",
        words="The printer stays in use until every part is there and fits.",
        unmeasured="Ordered or not ordered; each part is measured when it comes.",
        fails="Where a part cannot be had, take its change out and have the order made anew.",
    ),
    Step(
        id="print-parts", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="printed",
        after=("measure-first",),
        title="Print the printed parts, and one to spare",
        words="The printer will be out of service: what it has to print for itself is printed now, "
        "solid, in a plastic that does not creep when warm.",
        unmeasured="Each part is measured in a step of its own.",
        fails="Print it again before anything is opened; a part that warps is a part that fails.",
    ),
    Step(
        id="driver-current", stage=Stage.BEFORE, changes=(_MOTOR2,), minutes=15,
        title="Set the second driver's limit, its socket still empty",
        words="A setting in software: type it, save it, read it back. A trimmer: leave it to "
        "someone who has set one. A driver that both motors share: see the list of settings.",
        tools=("data sheet of motor and driver",), hazards=(_PLUG, "mains"),
        accept=Measure("limit set, effective, over the motor's rated current", "data sheet", "",
                       fixed(0.3, 1.0)),
        fails="Find out whether the setting means peak or effective, and set it anew.",
        back="Set the driver's old limit again.",
    ),

)  # fmt: skip

_HELD = (
    Step(
        id="blocks", stage=Stage.HELD, changes=OPENS, each=Each.END, minutes=3, mark="ends",
        title="Blocks under the moving part",
        words="Nozzle and bed cold. Drive the moving part to a height at which you can work, at "
        "least 100 mm, and put a solid block under this end that cannot tip. The screw still "
        "holds it: nothing is loosened and nothing switched off before blocks stand everywhere.",
        tools=("equal solid blocks", "feeler leaves"), hazards=(_FALL, _HOT, _PINCH),
        accept=Measure("gap between block and moving part", "feeler", "mm", fixed(0.0, 1.0)),
        fails="Shim the block. A gap is the height from which it falls.",
        restores=True, firm=True,
    ),
    Step(
        id="power-off", stage=Stage.HELD, changes=OPENS, minutes=3, after=("blocks",),
        title="Switch off, pull the mains plug, wait",
        words="Leave every cover of the supply closed: work on mains and on the wiring of a heated "
        "bed is no part of this and belongs to qualified people.",
        tools=("clock",), hazards=("mains", "stored-charge", _FALL),
        accept=Measure("time waited after the lamps went out", "clock", "s", fixed(60.0)),
        fails="Wait on. If a lamp still glows after five minutes, stop and have it looked at.",
        restores=True, firm=True,
    ),
    Step(
        id="unplug-motors", stage=Stage.HELD, changes=OPENS, minutes=3, mark="motor-shaft",
        after=("power-off", "photograph"),
        title="Unplug the motors of this axis",
        words="At the motor or at the board, whichever is labelled; turn screws by hand only now, "
        "and slowly.",
        hazards=(_PLUG,),
        unmeasured=_LOOKED,
        fails="If a plug does not come, hold the socket and not the wires. Never under power.",
        back="Plug the motors in again by label and photograph, power off.",
    ),
)  # fmt: skip

_FRAME = (
    Step(
        id="gussets", stage=Stage.WORK, changes=("brace-frame",), minutes=30, mark="frame",
        title="Put gussets or brace on, finger-tight",
        words="Only finger-tight: they are tightened when the frame is square, so that they hold "
        "it so and do not pull it out.",
        tools=("hex keys", "square"), hazards=(_PINCH,),
        unmeasured=_FELT,
        fails="Where it stands in the way of the moving part, move it or leave that one off.",
        back="Take the gussets off.", loosens=True,
    ),
    Step(
        id="uprights", stage=Stage.WORK, changes=SQUARED, minutes=35, mark="frame",
        after=("gussets",),
        title="Uprights as far apart at the top as at the bottom",
        words="Measure between the uprights at bottom and top with inside calipers or a rod of "
        "fixed length. If they differ, loosen the feet, set, tighten, measure again.",
        tools=("inside calipers or a rod of fixed length", "hex keys"), hazards=(_FALL, _PINCH),
        accept=Measure("distance at the top less at the bottom", "caliper", "mm",
                       fixed(-0.1, 0.1)),
        fails="Loosen one upright's foot, run to the tight place, tighten there. If it returns, "
        "look for burrs and cut ends that are not square, and shim.",
        loosens=True, restores=True,
    ),
    Step(
        id="diagonals", stage=Stage.WORK, changes=("square-frame", "brace-frame", *SECOND),
        minutes=15, mark="frame", after=("uprights",),
        title="Diagonals alike, then tighten frame and gussets",
        words="Corner to corner both ways over the same points; then tighten everything crosswise "
        "and measure once more.",
        tools=("tape or rod", "hex keys"), hazards=(_PINCH,),
        accept=Measure("one diagonal less the other", "tape", "mm", fixed(-0.5, 0.5)),
        fails="Loosen the corner screws, pull the longer diagonal together, tighten and measure.",
    ),
    Step(
        id="carriages", stage=Stage.WORK, changes=("stiff-carriages",), each=Each.END,
        minutes=50, mark="ends", after=("uprights", "diagonals"),
        title="Exchange the carriage plate",
        words="One end after the other, the other end stays on its rollers. The beam lies on its "
        "blocks throughout.",
        tools=("hex keys", "spanner", "drill"), hazards=(_FALL, _PINCH, "metal-chips"),
        unmeasured="The shake is measured in the step that sets the rollers.",
        fails="If a hole does not meet, do not force it: put the old plate back and mend the new.",
        back="Put the old carriage plate back.", loosens=True,
    ),
    Step(
        id="rollers", stage=Stage.WORK,
        changes=("set-rollers", "stiff-carriages", "square-frame", "brace-frame", *SECOND),
        each=Each.END, minutes=12, mark="ends", after=("uprights", "diagonals", "carriages"),
        title="Guide without shake and without squeeze",
        words="Turn the eccentric (or shim) until a roller can just be slipped with a finger; then "
        "push at the carriage up and down with the gauge on it. After the frame, not before it.",
        tools=("spanner for the eccentrics", "dial gauge"), hazards=(_FALL, _PINCH),
        accept=Measure("shake of the carriage against its guide", "dial gauge", "mm",
                       limits.shake),
        fails="Turn the eccentric a little further. A roller with a flat or a rail with a notch "
        "cannot be set: exchange it.",
        loosens=True,
    ),
    Step(
        id="guide-drag", stage=Stage.WORK, changes=("set-rollers",), each=Each.END, minutes=6,
        mark="ends", after=("rollers", "screw-out"),
        title="Drag of the guide",
        words="Nut unscrewed from the moving part, a second pair of hands at the other end. Pull "
        "this end slowly up its guide by the spring balance, then let it down: half the "
        "difference of the two is its drag.",
        tools=("spring balance",), hazards=(_FALL, _PINCH),
        accept=Measure("drag of this end", "spring balance", "N",
                       promised("drag_n", "set-rollers")),
        fails="Turn the eccentric back until it is met, then look at the shake again.",
        loosens=True,
    ),
)  # fmt: skip

_SCREW_STEPS = (
    Step(
        id="coupling-open", stage=Stage.WORK, changes=COUPLED, each=Each.SCREW, minutes=5,
        only_old=(_TIED,), only_if=_COUPLING, mark="motor-shaft",
        after=("uprights", "diagonals", "rollers"),
        title="Open the coupling",
        words="Draw a line over shaft, coupling and screw first. Loosen the half on the screw.",
        tools=("hex keys", "paint pen"), hazards=(_FALL, _PINCH),
        unmeasured=_LOOKED,
        fails="A clamp that sits fast: spread its slot with a wedge, never hammer on the shaft.",
        back="Set the coupling back to the line that was drawn and tighten it.", loosens=True,
    ),
    Step(
        id="screw-out", stage=Stage.WORK, changes=SCREW_OUT, each=Each.SCREW, minutes=12,
        only_old=(_TIED,),
        mark="screw", after=("coupling-open",),
        title="Take the screw out of nut and seat",
        words="Turn it up out of the nut while the moving part lies on its blocks. Lay it where it "
        "cannot be bent.",
        tools=("hex keys",), hazards=(_FALL, _PINCH),
        unmeasured=_LOOKED,
        fails="If it does not turn out by hand, something holds it: do not drive it by the motor.",
        back="Turn the old screw back into its nut and set it on its seat.", loosens=True,
    ),
    Step(
        id="clean", stage=Stage.WORK, changes=("clean-screw",), each=Each.SCREW, minutes=15,
        mark="screw", after=("screw-out", "screw-in"),
        title="Clean and grease the screw",
        words="Wipe the thread, take burrs off with a fine stone, run the nut over it by hand, a "
        "thin film of grease on the thread only.",
        tools=("lint-free cloth", "fine file or stone", "light grease"), hazards=(_FALL, _PINCH),
        unmeasured=_FELT,
        fails="Where the nut sticks at one place, look for the burr there with a lens.",
    ),
    Step(
        id="block-centred", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=20,
        mark="motor-shaft", after=("screw-out", "uprights", "diagonals"),
        title="Centre the bearing block on its bar",
        words="Measure how far the block stands out on both sides. Finger-tight for now. Chips "
        "are caught and brushed away at once.",
        tools=("calipers", "square", "hex keys"), hazards=(_FALL, "metal-chips"),
        accept=Measure("overhang on one side less the other, without its sign", "caliper", "mm",
                       limits.aligned("caliper_mm")),
        fails="Widen the block's holes by half a millimetre and shift it; calipers do not tell "
        "less than 0.05 mm, the lining up finds the rest.",
        back="Take the block off.",
    ),
    Step(
        id="block-seated", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=10,
        mark="motor-shaft", after=("block-centred",),
        title="Seat the block flat",
        words="Press it down and try feeler leaves under every edge.",
        tools=("feeler leaves", "shims"), hazards=(_FALL,),
        accept=Measure("thickest leaf that goes under an edge", "feeler", "mm",
                       limits.aligned("gap_mm")),
        fails="Take a burr off, or shim the edge that stands hollow.",
    ),
    Step(
        id="ball", stage=Stage.WORK, changes=("ball-in-coupling",), each=Each.SCREW, minutes=10,
        mark="motor-shaft", after=("coupling-open",),
        title="Put the ball between motor shaft and screw",
        words="With a dab of grease, both ends degreased where the clamp grips. The screw stands "
        "on the ball before the clamp is tightened.",
        tools=("hex keys",), hazards=(_FALL, _PINCH),
        accept=Measure("how far the screw sinks when 10 N press on it, clamp still open",
                       "dial gauge", "mm", fixed(0.0, 0.02)),
        fails="If the ball jams in the bore it is too large: a size smaller.",
        back="Take the ball out.",
    ),
    Step(
        id="screw-in", stage=Stage.WORK, changes=(*SCREW_OUT, _MOTOR2), each=Each.SCREW,
        only_new=(_MOTOR2,), minutes=20, mark="screw",
        after=("screw-out", "block-seated", "second-motor", "second-guide", "bracket"),
        title="Put the screw in",
        words="Brushed clean, its cut end chamfered. A new nut sits in its bracket first, "
        "finger-tight, and the screw is turned through it. With a thrust bearing: on the block "
        "the washer of the larger bore, then the balls, the washer that fits the screw, the "
        "collar, so that the weight presses them together.",
        tools=("hex keys", "brush"), hazards=(_FALL, _PINCH, "metal-chips"),
        unmeasured="Seat, collar and float are measured in the next steps.",
        fails="If it does not drop into its seat by its own weight, find out what it touches.",
        back="Take the screw out again.",
    ),
    Step(
        id="collar", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=12, mark="screw",
        after=("screw-in",),
        title="Collar square to the screw",
        words="Gauge on the collar's face near its rim, turn the screw once by hand.",
        tools=("dial gauge", "hex keys"), hazards=(_PINCH,),
        accept=Measure("swing of the collar's face in a turn", "dial gauge", "mm",
                       limits.collar_swing),
        fails="Loosen the collar, press it on the washer, tighten crosswise; then try another.",
    ),
    Step(
        id="coupling-on", stage=Stage.WORK, changes=(*COUPLED, _MOTOR2), each=Each.SCREW,
        only_new=(_MOTOR2,), only_old=(_TIED,), only_if=_COUPLING, minutes=12,
        mark="motor-shaft", after=("screw-in", "collar", "ball", "coupling-open"),
        title="Couple screw and motor shaft",
        words="The screw rests on its seat before the clamp is tightened; the coupling must "
        "neither push nor pull. Then turn once with the gauge on the screw beside it.",
        tools=("hex keys", "dial gauge"), hazards=(_PINCH,),
        accept=Measure("swing of the screw beside the coupling", "dial gauge", "mm",
                       limits.coupling_swing),
        fails="Loosen, turn the screw a quarter against the shaft, tighten, measure again. If it "
        "stays, shift the motor.",
        back="Loosen the coupling from the screw.", restores=True,
    ),
    Step(
        id="shaft-gap", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=4,
        only_old=(_TIED,), only_if=_COUPLING,
        mark="motor-shaft", after=("coupling-on",),
        title="Motor shaft and screw do not touch",
        words="A leaf between the two ends inside the coupling: the bearing carries, the motor "
        "only turns.",
        tools=("feeler leaves",), hazards=(_PINCH,),
        accept=Measure("gap between motor shaft and screw", "feeler", "mm", fixed(0.5)),
        fails="Lower the motor or raise the collar; the weight would go past the bearing.",
    ),
    Step(
        id="end-float", stage=Stage.WORK, changes=CARRIED,
        each=Each.SCREW, minutes=8, mark="screw", after=("coupling-on", "shaft-gap"),
        title="The weight presses the screw on its seat",
        words="Gauge on the screw's end face. Lift the moving part with about 10 N of the weight "
        "left and let go: the screw must not follow. Preload acts the way the weight does.",
        tools=("dial gauge", "shims"), hazards=(_PINCH, _FALL),
        accept=Measure("how far the screw moves along its axis", "dial gauge", "mm",
                       promised("end_float_mm")),
        fails="Press the collar down while it is tightened; shim a seat that springs.",
    ),
)  # fmt: skip

_SECOND_STEPS = (
    Step(
        id="second-guide", stage=Stage.WORK, changes=SECOND, each=Each.SCREW,
        only_new=SECOND, minutes=60,
        mark="ends", after=("uprights", "diagonals", "rollers"),
        title="Prepare the place of the second screw",
        words="Holes for block or motor bracket and for the nut's bracket, by template. Drill with "
        "the electronics covered and the moving part on its blocks.",
        tools=("drill", "square", "calipers"), hazards=(_FALL, "metal-chips"),
        accept=Measure("distance of the new screw from its guide, less that of the old one",
                       "caliper", "mm", fixed(-0.5, 0.5)),
        fails="Widen the holes and shift; drill anew rather than pull a screw over.",
        back="Take the holders of the second screw off.",
    ),
    Step(
        id="second-motor", stage=Stage.WORK, changes=(_MOTOR2,), each=Each.SCREW,
        only_new=(_MOTOR2,), minutes=30,
        mark="motor-shaft", after=("second-guide",),
        title="Mount the second motor and lay its cable",
        words="Motor on its bracket, finger-tight. The cable as far as the board and not into it; "
        "tied so that neither end of the travel pulls at it.",
        tools=("hex keys", "cable ties"), hazards=(_PINCH, _PLUG),
        accept=Measure("slack of the cable with the moving part furthest away", "caliper", "mm",
                       fixed(20.0)),
        fails="Lay it another way or take a longer one; a tight cable breaks inside.",
        back="Take the second motor and its cable off.",
    ),
)  # fmt: skip

_NUT_STEPS = (
    Step(
        id="bracket", stage=Stage.WORK, changes=("stiff-bracket",), each=Each.SCREW, minutes=25,
        mark="nut", after=("uprights", "diagonals", "rollers", "screw-out"),
        title="Exchange the nut's bracket",
        words="The beam on its blocks. Hang 1 kg beside the nut before and after, the gauge on the "
        "nut against the beam.",
        tools=("hex keys", "drill", "dial gauge"), hazards=(_FALL, _PINCH, "metal-chips"),
        accept=Measure("what it gives under 1 kg, over what it gave before", "dial gauge", "",
                       share_of_before("bracket_stiffness_n_per_mm")),
        fails="Look for a screw that sits in plastic, or a gap under the bracket.",
        back="Put the old bracket back.", loosens=True,
    ),
    Step(
        id="nut", stage=Stage.WORK, changes=(*NUTS, *SCREWS, *SECOND), each=Each.SCREW, minutes=15,
        only_new=SECOND,
        mark="nut", after=("screw-in", "bracket"),
        title="The new nut: way up, seat and play",
        words="Still finger-tight. Its flange carries in pressure: the weight must not hang on the "
        "nut's screws. Of a split nut the solid half carries and the spring pushes away from the "
        "weight. Gauge between nut and screw, lift the nut with 5 N and let go.",
        tools=("hex keys",), hazards=(_FALL, _PINCH, "stored-tension"),
        accept=Measure("play of the nut on the screw", "dial gauge",
                       "mm", promised("play_mm")),
        fails="Turn the nut over or try the other of two. If it stays, the screw is worn there.",
        back="Put the old nut back.", loosens=True,
    ),
    Step(
        id="nut-floats", stage=Stage.WORK, changes=("floating-nut",), each=Each.SCREW, minutes=8,
        mark="nut", after=("nut",),
        title="The nut floats sideways and cannot come apart",
        words="Push it sideways both ways. Then lift the moving part by hand by 5 mm: the joint "
        "must stay together, or the gantry can hang and drop later.",
        tools=("calipers",), hazards=(_FALL, _PINCH),
        accept=Measure("freedom to either side", "caliper", "mm", limits.float_needed),
        fails="Loosen what clamps it. A mount that comes apart is not used: put the old nut back.",
        firm=True,
    ),
    Step(
        id="top-freed", stage=Stage.WORK, changes=("free-top",), each=Each.SCREW, minutes=8,
        mark="screw", after=("screw-in",),
        title="Take the bearing at the top off",
        words="The screw then follows the nut. Look whether it whips at the fastest lift later.",
        tools=("hex keys",), hazards=(_FALL, _PINCH),
        unmeasured="A free end has no limit to keep; turning it by hand shows what came of it.",
        fails="If it whips, guide it loosely or lift slower.",
        back="Put the bearing at the top back.", loosens=True,
    ),
    Step(
        id="line-up-low", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW,
        only_new=(_MOTOR2,), minutes=12,
        mark="nut",
        after=("uprights", "diagonals", "rollers", "guide-drag", "nut", "bracket", "coupling-on",
               "shaft-gap", "end-float", "top-freed", "clean", "nut-floats", "carriages"),
        title="Line up at the lowest place",
        words="What holds the screw's foot (block or motor) and the nut finger-tight. Turn by hand "
        "to the lowest place, lower blocks below it, where the screw yields least; several "
        "screws in turn, half a turn at a time, so that nothing racks. Tighten the foot, then the "
        "nut, a little at a time and crosswise. The screw is fixed at this end.",
        tools=("hex keys",), hazards=(_FALL, _PINCH),
        unmeasured="The next step measures it at both ends of the travel.",
        fails="If the nut pulls the screw aside while it is tightened, shim under the nut.",
        loosens=True, restores=True,
    ),
    Step(
        id="line-up-high", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW,
        only_new=(_MOTOR2,), minutes=10,
        mark="screw", after=("line-up-low",),
        title="Look at the line at both ends of the travel",
        words="Screw to guide by calipers with the nut lowest and highest.",
        tools=("calipers",), hazards=(_FALL, _PINCH),
        accept=Measure("distance at the highest nut less at the lowest, without its sign",
                       "caliper", "mm", limits.aligned("lean_low_mm")),
        fails="Shim the foot on the side to which the screw leans, then line up low again.",
        restores=True,
    ),
    Step(
        id="top-floats", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW, only_new=(_MOTOR2,),
        only_if=(("screw.top_end", ("held",)),), minutes=10, mark="screw",
        after=("line-up-high",),
        title="Fit the top bearing last, and let it float",
        words="Nut at its highest: tighten the bearing's holder there. It holds sideways only; "
        "along the axis the screw must be able to grow.",
        tools=("hex keys", "feeler leaves"), hazards=(_FALL, _PINCH),
        accept=Measure("gap that the screw has to grow into", "feeler", "mm", limits.top_gap),
        fails="Take the collar or nut off that holds it along the axis: one end is fixed, the "
        "other floats.",
    ),
)  # fmt: skip

_REST = (
    Step(
        id="spring", stage=Stage.WORK, changes=("counterweight",), minutes=60, mark="ends",
        after=("rollers", "line-up-high"),
        title="Hang the spring or weight at the far side",
        words="Slacken it slowly, face turned away. It must not reach the bed if its cord breaks.",
        tools=("hex keys", "drill", "spring balance"),
        hazards=("stored-tension", "hung-mass", _FALL, "metal-chips"),
        accept=Measure("pull of the spring or weight", "spring balance", "N",
                       limits.spring_pull),
        fails="Take another spring, or weight off; more than this opens the nut's play.",
        back="Take the spring or weight off.", loosens=True,
    ),
    Step(
        id="level-before-belt", stage=Stage.WORK, changes=("larger-pulleys", _TIED), minutes=15,
        mark="ends",
        after=("line-up-high", "top-floats", "rollers", "spring"),
        title="Level against equal blocks",
        words="Belt off. Equal blocks under both ends, turn each screw by hand until the beam "
        "rests on both alike. Never level by running on to a stop.",
        tools=("two equal blocks", "dial gauge"), hazards=(_FALL, _PINCH),
        accept=Measure("highest end less lowest end", "dial gauge", "mm",
                       limits.level),
        fails="Turn the lower screw on; exchange the blocks to see that they are equal.",
        loosens=True,
    ),
    Step(
        id="pulleys", stage=Stage.WORK, changes=("larger-pulleys", _TIED), minutes=25,
        mark="screw", after=("level-before-belt",),
        title="Lay the belt and clamp the pulleys with the beam level",
        words="Both pulleys of equal teeth, loose on their screws, in one plane. Belt on, just "
        "taut. Clamp them while the beam rests on equal blocks, then look at the level again.",
        tools=("hex keys", "dial gauge"), hazards=(_PINCH, "stored-tension", _FALL),
        accept=Measure("highest end less lowest end, after clamping", "dial gauge", "mm",
                       limits.level),
        fails="Loosen one clamp, level, clamp again. Whole teeth come no nearer than half a tooth: "
        "the clamp sets the rest.",
        back="Take the belt and the pulleys off, put the old ones on with the beam level.",
        loosens=True,
    ),
    Step(
        id="belt-tension", stage=Stage.WORK, changes=BELTED, minutes=12, mark="screw",
        after=("pulleys",),
        title="Tension the belt by its tone",
        words="Turn the screws a turn each way, then pluck the longest free span and "
        "read its tone.",
        tools=("hex keys", "a phone that shows the pitch of a tone"),
        hazards=(_PINCH, "stored-tension"),
        accept=Measure("tone of the longest span", "ear", "Hz", limits.tone),
        fails="Too low: tighten. Too high bends the screws' ends: slacken. If it does not hold, "
        "the tensioner slips.",
        loosens=True,
    ),
    Step(
        id="switch", stage=Stage.WORK, changes=("stiff-switch",), minutes=30, mark="frame",
        title="Put the switch on its new bracket",
        words="Two screws; the plunger touched in line. Its wires stay in their plug; if one was "
        "undone, as on the photograph.",
        tools=("hex keys", "feeler leaves"), hazards=(_PINCH, "mains"),
        accept=Measure("what the bracket gives under the touch, beside the switch", "dial gauge",
                       "mm", fixed(0.0, 0.02)),
        fails="A bracket that gives is no better than the old one: ribs, or metal.",
        back="Put the switch on its old bracket.", loosens=True,
    ),
    Step(
        id="clamps", stage=Stage.WORK, changes=CLAMPED, each=Each.SCREW, minutes=10,
        only_new=(_MOTOR2,),
        mark="motor-shaft", after=("coupling-on", "pulleys", "belt-tension", "line-up-high"),
        title="Degrease, tighten and mark the clamps",
        words="Solvent on shaft and bore only. Tighten, and draw a line across every joint: after "
        "fifty strokes it must be whole.",
        tools=("hex keys", "solvent", "paint pen"), hazards=(_FALL, _PINCH),
        accept=Measure("step in the line after ten turns by hand each way", "caliper", "mm",
                       fixed(0.0, 0.1)),
        fails="Clean again, a new screw in the clamp, a shaft with a flat for a set screw.",
        loosens=True, restores=True,
    ),
    Step(
        id="frame-push", stage=Stage.WORK, changes=("brace-frame",), minutes=8, mark="frame",
        after=("diagonals",),
        title="The frame gives less",
        words="Gauge at the top of an upright, push with 10 N as in the readings before.",
        tools=("dial gauge", "spring balance"), hazards=(_PINCH,),
        accept=Measure("what it reads under 10 N, over what it read before", "dial gauge", "",
                       share_of_before("stiffness_n_per_mm")),
        fails="Look for the joint that slips: a line across it shows which.",
    ),
    Step(
        id="hand-turn", stage=Stage.WORK, changes=OPENS, each=Each.SCREW, minutes=8, mark="screw",
        after=("line-up-high", "top-floats", "clamps", "belt-tension", "rollers", "clean",
               "spring", "level-before-belt", "frame-push", "switch", "guide-drag", "diagonals"),
        title="Turn by hand over the whole travel",
        words="Motors unplugged, one hand under the moving part, a block below it. Several screws "
        "in turn, half a turn at a time, so that nothing racks. It must turn as easily at the top "
        "as at the bottom and not stick within a turn. End in the middle of the travel, where the "
        "first move will begin.",
        tools=("lever with a spring balance",), hazards=(_FALL, _PINCH),
        accept=Measure("torque at its hardest place over that at its easiest", "spring balance",
                       "", fixed(1.0, 1.5)),
        fails="Hard at one end: line up low again. Hard once in a turn: the screw is bent or the "
        "collar not square. Hard everywhere: slacken the guides.",
        restores=True,
    ),
    Step(
        id="level-screws", stage=Stage.WORK, changes=LEVELLED, minutes=15, mark="ends",
        after=("hand-turn",),
        title="Level the screws against equal blocks",
        words="Equal blocks under all ends, turn each screw by hand until the moving part rests on "
        "all alike. A belt that ties screws comes off first, or one pulley's clamp is loosened. "
        "Never level by running on to a stop.",
        tools=("equal blocks", "dial gauge"), hazards=(_FALL, _PINCH),
        accept=Measure("highest end less lowest end", "dial gauge", "mm", limits.level),
        fails="Turn the lower screw on; exchange the blocks to see that they are equal.",
        loosens=True,
    ),
)  # fmt: skip

_WIRING = (
    Step(
        id="wiring-go", stage=Stage.WIRING, changes=OPENS, minutes=20, mark="motor-shaft",
        title="Prove the wiring",
        words="Measure the cables at the board end, not yet plugged in there, and have them "
        "judged: on the wiring sheet of the page, or by plumbrise wiring. Power stays shut "
        "until the verdict is go, or until you take it on yourself in words.",
        tools=("multimeter",), hazards=(_PLUG, "stored-charge"),
        unmeasured="The value is the verdict: go, and nothing else.",
        fails="Do what the verdict says next: swap the contacts it names, or take the reading it "
        "asks for.",
        restores=True, firm=True,
    ),
    Step(
        id="plug-in", stage=Stage.WIRING, changes=OPENS, minutes=5, mark="motor-shaft",
        after=("wiring-go",),
        title="Plug the motors in by label and photograph",
        words="Still switched off, mains plug out. Every plug sits on all its pins and is held.",
        hazards=(_PLUG,),
        unmeasured=_LOOKED,
        fails="If a plug goes in two ways, find out which before anything else.",
        restores=True, firm=True,
    ),
)  # fmt: skip

_POWER = (
    Step(
        id="gate-chips", stage=Stage.POWER, changes=OPENS, minutes=5,
        title="Gate: nothing metallic lies loose",
        words="Brush and vacuum, a magnet over board, supply and bed. Tools off the machine.",
        tools=("brush", "vacuum", "magnet"), hazards=("metal-chips",),
        accept=Measure("chips and screws found at the last look", "eye", "", fixed(0.0, 0.0)),
        fails="Clean and look again until a look finds none.",
        restores=True, firm=True,
    ),
    Step(
        id="gate-switch", stage=Stage.POWER, changes=OPENS, minutes=5, mark="frame",
        title="Gate: the homing switch changes state by hand",
        words="Ohmmeter at its unplugged plug, press and let go five times. Then plug it in again.",
        tools=("multimeter",), hazards=(_PLUG,),
        accept=Measure("changes seen in five presses", "multimeter", "", fixed(5.0, 5.0)),
        fails="Without it homing drives into the stop: mend switch or wire first.",
        restores=True, firm=True,
    ),
    Step(
        id="gate-blocks", stage=Stage.POWER, changes=OPENS, each=Each.END, minutes=3, mark="ends",
        title="Gate: low blocks, room above and below",
        words="The moving part in the middle of its travel, on the screw alone, a block below it "
        "that it would fall on. Nothing in the way of the first half millimetre.",
        tools=("blocks",), hazards=(_FALL, _PINCH),
        accept=Measure("room between block and moving part", "caliper", "mm", fixed(5.0, 20.0)),
        fails="Change the block. Too much room is a fall, too little is a stop.",
        restores=True, firm=True,
    ),
    Step(
        id="gate-earth", stage=Stage.POWER, changes=OPENS, minutes=2,
        title="Gate: covers closed, earth and mains as they were",
        words="No cover of supply or mains was opened and no earth wire was touched. If one was, "
        "a qualified person looks at it first: licensed practice and the rules of your place "
        "come before this list.",
        hazards=("mains",),
        unmeasured=_LOOKED,
        fails="Leave it off and have it looked at by a qualified person.",
        restores=True, firm=True,
    ),
    Step(
        id="first-power", stage=Stage.POWER, changes=OPENS, minutes=5, mark="motor-shaft",
        after=("wiring-go", "plug-in", "gate-chips", "gate-switch", "gate-blocks", "gate-earth"),
        title="Switch on, hand on the switch",
        words="Heaters off. Nothing is told to move. For two minutes watch, listen and smell: "
        "no smoke, no hum that grows, no motor or driver that gets too hot to touch.",
        tools=("clock",), hazards=(_PINCH, _HOT, "mains"),
        accept=Measure("time it stood under power without a sign", "clock", "s", fixed(120.0)),
        fails="Off at once, plug out. Prove the wiring again before another try.",
        restores=True, firm=True,
    ),
    Step(
        id="set-lead", stage=Stage.POWER, changes=("short-lead-screw",), minutes=8,
        after=("first-power",),
        title="Set the steps per mm of the new lead before anything moves",
        words="Type what lead, steps and pulleys give, and the slower lift of the list of "
        "settings; save, read back. With the old value every move would be of a wrong length.",
        accept=Measure("steps per mm as read back", "controller", "", limits.steps_told),
        fails="If it does not stay after power off, it was not saved.",
        back="Type the old value from what was written down.", firm=True,
    ),
    Step(
        id="first-move", stage=Stage.POWER, changes=OPENS, each=Each.SCREW, minutes=5,
        mark="screw", after=("first-power", "set-lead"),
        title="First move: half a millimetre away from the nozzle",
        words="From the controller's own panel, at 2 mm/s or slower, hand on the switch. Watch all "
        "screws: the same way, the same angle, no buzz. The gauge shows which way.",
        tools=("dial gauge",), hazards=(_PINCH, _FALL),
        accept=Measure("how far this screw's end moved away from the nozzle", "dial gauge", "mm",
                       fixed(0.1, 0.7)),
        fails="Below zero: it runs the wrong way, off, turn the direction in the settings or "
        "exchange the wires of one coil with the power off. Buzz: a coil is split, off at once.",
        restores=True, firm=True,
    ),
    Step(
        id="first-home", stage=Stage.POWER, changes=OPENS, minutes=8, mark="ends",
        after=("first-move",),
        title="Home for the first time, slowly",
        words="Bed plate off, or foam of 5 mm on it. Blocks away now. Press the switch by hand "
        "while it homes: it must stop at once. Only then let it find the switch by itself.",
        hazards=(_PINCH, _FALL, _HOT),
        accept=Measure("homings that stopped at your finger, of two", "eye", "", fixed(2.0, 2.0)),
        fails="Off. Look at the switch's wire, its plug and which input the controller reads.",
        restores=True, firm=True,
    ),
    Step(
        id="bounded-moves", stage=Stage.POWER, changes=OPENS, minutes=12, mark="ends",
        after=("first-home",),
        title="Bounded moves over the travel, hand on the switch",
        words="Run the program of first moves: it passed the checker for this machine, goes slowly "
        "and stops after each. At every stop: both ends moved alike, no scraping, cable free, "
        "motors not too hot to touch.",
        hazards=(_PINCH, _FALL),
        accept=Measure("stops at which something was wrong", "eye", "", fixed(0.0, 0.0)),
        fails="Off at the stop where it shows. Scraping at one height: line up again there.",
        restores=True, firm=True,
    ),
)  # fmt: skip

_SETTLE = (
    Step(
        id="set-steps", stage=Stage.SETTLE, changes=("steps-per-mm",),
        unless=("short-lead-screw",), minutes=6, after=("bounded-moves",),
        title="Set the steps per mm",
        words="Type what lead, steps and pulleys give, save, read it back. Never by a printed "
        "cube: squash and shrinkage are in that.",
        accept=Measure("steps per mm as read back", "controller", "", limits.steps_told),
        fails="If it does not stay after power off, it was not saved.",
        back="Type the old value from what was written down.",
    ),
    Step(
        id="hundred-mm", stage=Stage.SETTLE,
        changes=("steps-per-mm", "short-lead-screw", *SECOND), minutes=12, mark="ends",
        after=("set-lead", "set-steps", "bounded-moves"),
        title="Verify over 100 mm",
        words="Come from below to the first height, read; 100 mm further up, read again with "
        "calipers or over blocks. It finds a blunder; nothing is tuned by it within its limits.",
        tools=("calipers or blocks of 100 mm",), hazards=(_PINCH,),
        accept=Measure("what 100 mm told came to", "caliper", "mm", limits.hundred),
        fails="Off by a factor: lead, starts or microsteps are other than thought. Off by a "
        "little: measure again with blocks before the value is touched.",
    ),
    Step(
        id="set-touch", stage=Stage.SETTLE, changes=("slow-second-touch",), minutes=8,
        after=("bounded-moves",),
        title="Set homing to touch twice",
        words="Fast touch, lift 2 mm, touch again at a tenth of the speed. Save.",
        hazards=(_PINCH,),
        unmeasured="The range of ten homings is measured in the next step.",
        fails="If the controller knows no second touch, home twice in the start of a print.",
        back="Set the old homing again.",
    ),
    Step(
        id="home-range", stage=Stage.SETTLE, changes=_HOME, minutes=12, mark="ends",
        after=("set-touch", "bounded-moves"),
        title="Range of ten homings",
        words="As in the readings before: ten homings, gauge at the same place.",
        tools=("dial gauge",), hazards=(_PINCH,),
        accept=Measure("range of ten, over the range before", "dial gauge", "",
                       share_of_before("term:home-scatter")),
        fails="Look whether the plunger is touched in line and whether anything gives there.",
    ),
    Step(
        id="layer-heights", stage=Stage.SETTLE, changes=("four-step-layers",), minutes=6,
        after=("set-steps", "hundred-mm"),
        title="Choose a layer height of whole groups of four steps",
        words="Change it in the slicing program, first layer included.",
        accept=Measure("layer height chosen", "slicing program", "mm", limits.step_grid),
        fails="Take the next whole multiple.",
        back="Choose the old layer height again.",
    ),
    Step(
        id="read-after", stage=Stage.SETTLE, changes=EVERY, minutes=45, mark="ends",
        after=("bounded-moves", "set-steps", "hundred-mm", "home-range", "set-touch",
               "layer-heights"),
        title="Take the readings after",
        words="The same set-ups, gauge, places and warmth as before, compensation off. Write into "
        "the machine file what is different now.",
        tools=("dial gauge", "readings table"), hazards=(_PINCH, _HOT, _FALL),
        unmeasured="It is compared with the readings before, and with what was promised.",
        fails="If it is no better, explain the new readings before anything else is changed.",
    ),
    Step(
        id="level-beam", stage=Stage.SETTLE, changes=OPENS, minutes=15, mark="ends",
        after=("read-after",),
        title="Level beam or bed",
        words="Home, then the height of both ends over the same surface, at the same height told. "
        "One screw: set it at the far carriage. A belt: at one pulley's clamp. A motor for each "
        "screw: blocks under, switched off, that motor unplugged, its screw turned by hand; "
        "switched on again a motor jumps to its nearest step, so look again, and take out what "
        "is left at the coupling's clamp.",
        tools=("dial gauge", "equal blocks", "hex keys"), hazards=(_PINCH, _FALL),
        accept=Measure("highest end less lowest end", "dial gauge", "mm",
                       limits.level),
        fails="Set it again and home twice. If it wanders, the axis still loses motion at one end.",
        restores=True,
    ),
    Step(
        id="nozzle", stage=Stage.SETTLE,
        changes=tuple(c for c in EVERY if c != "four-step-layers"), minutes=10, mark="ends",
        after=("level-beam", "read-after"),
        title="Set the nozzle's height anew",
        words="Every rebuild shifts it. Start from an offset that is surely too high, come down in "
        "steps of 0.05 mm to a feeler leaf on the bed, save. Then the bed's own tramming.",
        tools=("feeler leaf of 0.1 mm",), hazards=(_HOT, _PINCH),
        accept=Measure("leaf that just drags under the nozzle", "feeler", "mm", fixed(0.05, 0.15)),
        fails="Too thin: up at once, the nozzle scrapes. Repeat until two homings agree.",
        restores=True,
    ),
)  # fmt: skip


def _fit(check: PartCheck) -> Step:
    """The step in which a part that has come is measured against the machine."""
    return Step(
        id=check.id,
        stage=Stage.BEFORE,
        changes=tuple(
            change.id
            for change in CATALOGUE.values()
            if any(part.name == check.part for part in change.parts)
        ),
        after=("order-parts", "print-parts"),
        title=f"{check.part}: measure against the machine",
        words=check.words,
        tools=check.tools,
        minutes=check.minutes,
        mark=check.mark,
        accept=check.accept,
        unmeasured=check.unmeasured,
        fails=f"{check.fails} Nothing is opened before it fits.",
    )


_FITS = tuple(_fit(check) for check in PART_CHECKS.values())
_ALL = (
    *_BEFORE, *_FITS, *_HELD, *_FRAME, *_SECOND_STEPS, *_SCREW_STEPS, *_NUT_STEPS, *_REST, *_WIRING,
    *_POWER, *_SETTLE,
)  # fmt: skip
STEPS = {step.id: step for step in _ALL}
"""By id, in the order of the work."""
PLACE = {step.id: number for number, step in enumerate(_ALL)}
"""Where a step stands in the table."""
