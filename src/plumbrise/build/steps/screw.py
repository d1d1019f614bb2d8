"""Coupling, screw and seat."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.promised import promised
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import (
    CARRIED,
    COUPLED,
    COUPLING,
    FALL,
    FELT,
    LOOKED,
    MOTOR2,
    PINCH,
    SCREW_OUT,
    TIED,
)

SCREW: tuple[Step, ...] = (
    Step(
        id="coupling-open", stage=Stage.WORK, changes=COUPLED, each=Each.SCREW, minutes=5,
        only_old=(TIED,), only_if=COUPLING, mark="motor-shaft",
        after=("uprights", "diagonals", "rollers"),
        title="Open the coupling",
        words="Draw a line over shaft, coupling and screw first. Loosen the half on the screw.",
        tools=("hex keys", "paint pen"), hazards=(FALL, PINCH),
        unmeasured=LOOKED,
        fails="A clamp that sits fast: spread its slot with a wedge, never hammer on the shaft.",
        back="Set the coupling back to the line that was drawn and tighten it.", loosens=True,
    ),
    Step(
        id="screw-out", stage=Stage.WORK, changes=SCREW_OUT, each=Each.SCREW, minutes=12,
        only_old=(TIED,),
        mark="screw", after=("coupling-open",),
        title="Take the screw out of nut and seat",
        words="A bearing at its top comes off first. Turn it up out of the nut while the moving "
        "part lies on its blocks. Where the frame's top is in the way, take the motor off below "
        "and turn it out that way; the motor goes back before the screw. Lay it where it cannot "
        "be bent.",
        tools=("hex keys",), hazards=(FALL, PINCH),
        unmeasured=LOOKED,
        fails="If it does not turn out by hand, something holds it: do not drive it by the motor.",
        back="Turn the old screw back into its nut and set it on its seat.", loosens=True,
    ),
    Step(
        id="clean", stage=Stage.WORK, changes=("clean-screw",), each=Each.SCREW, minutes=15,
        mark="screw", after=("screw-out", "screw-in"),
        title="Clean and grease the screw",
        words="Wipe the thread above and below the nut and take burrs off with a fine stone. Turn "
        "the screw by hand until the nut has gone over all of it, blocks close below the moving "
        "part, then wipe what came out. A thin film of grease, on the thread only.",
        tools=("lint-free cloth", "fine file or stone", "light grease"), hazards=(FALL, PINCH),
        unmeasured=FELT,
        fails="Where the nut sticks at one place, look for the burr there with a lens.",
    ),
    Step(
        id="block-centred", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=20,
        mark="motor-shaft", after=("screw-out", "uprights", "diagonals"),
        title="Centre the bearing block on its bar",
        words="Mark its holes where it was measured, and drill with the electronics covered; chips "
        "are caught and brushed away at once. Screw it on finger-tight, and measure how far it "
        "stands out on both sides.",
        tools=("calipers", "square", "drill", "hex keys"), hazards=(FALL, "metal-chips"),
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
        tools=("feeler leaves", "shims"), hazards=(FALL,),
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
        tools=("hex keys", "dial gauge", "spring balance"), hazards=(FALL, PINCH),
        accept=Measure("how far the screw sinks when 10 N press on it, clamp still open",
                       "dial gauge", "mm", fixed(0.0, 0.02)),
        fails="If the ball jams in the bore it is too large: a size smaller.",
        back="Take the ball out.",
    ),
    Step(
        id="screw-in", stage=Stage.WORK, changes=(*SCREW_OUT, MOTOR2), each=Each.SCREW,
        only_new=(MOTOR2,), minutes=20, mark="screw",
        after=("screw-out", "block-seated", "second-motor", "second-guide", "bracket"),
        title="Put the screw in",
        words="Brushed clean, its cut end chamfered. A new nut takes the old one's place first, "
        "finger-tight, and the screw is turned through it. With a thrust bearing: on the block "
        "the washer of the larger bore, then the balls, the washer that fits the screw, the "
        "collar, so that the weight presses them together.",
        tools=("hex keys", "brush"), hazards=(FALL, PINCH, "metal-chips"),
        unmeasured="Seat, collar and float are measured in the next steps.",
        fails="If it does not drop into its seat by its own weight, find out what it touches.",
        back="Take the screw out again.", covers=True,
    ),
    Step(
        id="collar", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=12, mark="screw",
        after=("screw-in",),
        title="Collar square to the screw",
        words="Gauge on the collar's face near its rim, turn the screw once by hand.",
        tools=("dial gauge", "hex keys"), hazards=(PINCH,),
        accept=Measure("swing of the collar's face in a turn", "dial gauge", "mm",
                       limits.collar_swing),
        fails="Loosen the collar, press it on the washer, tighten crosswise; then try another.",
    ),
    Step(
        id="shaft-gap", stage=Stage.WORK, changes=CARRIED, each=Each.SCREW, minutes=4,
        only_old=(TIED,), only_if=COUPLING,
        mark="motor-shaft", after=("screw-in", "collar", "coupling-open"),
        title="Motor shaft and screw do not touch",
        words="The screw on its seat, the coupling loose and pushed down on the motor's shaft: a "
        "leaf between the two ends. The bearing carries, the motor only turns.",
        tools=("feeler leaves",), hazards=(PINCH,),
        accept=Measure("gap between motor shaft and screw", "feeler", "mm", fixed(0.5)),
        fails="Lower the motor or raise the collar; the weight would go past the bearing.",
    ),
    Step(
        id="coupling-on", stage=Stage.WORK, changes=(*COUPLED, MOTOR2), each=Each.SCREW,
        only_new=(MOTOR2,), only_old=(TIED,), only_if=COUPLING, minutes=12,
        mark="motor-shaft", after=("screw-in", "collar", "shaft-gap", "ball", "coupling-open"),
        title="Couple screw and motor shaft",
        words="The screw rests on its seat before the clamp is tightened; the coupling must "
        "neither push nor pull. Then turn once with the gauge on the screw beside it.",
        tools=("hex keys", "dial gauge"), hazards=(PINCH,),
        accept=Measure("swing of the screw beside the coupling", "dial gauge", "mm",
                       limits.coupling_swing),
        fails="Loosen, turn the screw a quarter against the shaft, tighten, measure again. If it "
        "stays, shift the motor.",
        back="Loosen the coupling from the screw.", restores=True, covers=True,
        closes=("coupling-open",),
    ),
    Step(
        id="end-float", stage=Stage.WORK, changes=CARRIED,
        each=Each.SCREW, minutes=8, mark="screw", after=("coupling-on",),
        title="The weight presses the screw on its seat",
        words="Turn the screw by hand until its end of the moving part stands just off its block. "
        "Gauge on the screw's end face. Lift that end until half its weight is in your hand and "
        "let go: the screw must not follow. Preload acts the way the weight does.",
        tools=("dial gauge", "shims"), hazards=(PINCH, FALL),
        accept=Measure("how far the screw moves along its axis", "dial gauge", "mm",
                       promised("end_float_mm")),
        fails="Press the collar down while it is tightened; shim a seat that springs.",
    ),
)  # fmt: skip
