"""The nut, and the line of screw and nut."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.promised import promised
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import FALL, LINED_UP, MOTOR2, NUTS, PINCH, SCREWS, SECOND

NUT: tuple[Step, ...] = (
    Step(
        id="bracket", stage=Stage.WORK, changes=("stiff-bracket",), each=Each.SCREW, minutes=25,
        mark="nut", after=("uprights", "diagonals", "rollers", "screw-out"),
        title="Exchange the nut's bracket",
        words="The moving part on its blocks. Unscrew the nut from the old bracket, put the new "
        "one on, its screws in metal and tight, the nut finger-tight: it is lined up later.",
        tools=("hex keys", "drill"),
        hazards=(FALL, PINCH, "metal-chips"),
        unmeasured="What it gives is read once the nut carries again.",
        fails="If a hole does not meet, do not force it: put the old one back and mend the new.",
        back="Put the old bracket back.", loosens=True,
    ),
    Step(
        id="nut", stage=Stage.WORK, changes=(*NUTS, *SCREWS, *SECOND), each=Each.SCREW, minutes=15,
        only_new=SECOND,
        mark="nut", after=("screw-in", "bracket"),
        title="The new nut: way up, seat and play",
        words="Still finger-tight. Its flange carries in pressure: the weight must not hang on the "
        "nut's screws. Of a split nut the solid half carries and the spring pushes away from the "
        "weight. Slacken its screws until it moves freely. Gauge on the nut "
        "against the screw, lift it with 5 N and let go.",
        tools=("hex keys", "dial gauge", "spring balance"), hazards=(FALL, PINCH, "stored-tension"),
        accept=Measure("play of the nut on the screw", "dial gauge",
                       "mm", promised("play_mm")),
        fails="Turn the nut over. If it plays so all along the screw, exchange it; if at one "
        "place, the screw is worn there.",
        back="Put the old nut back.", loosens=True,
    ),
    Step(
        id="nut-floats", stage=Stage.WORK, changes=("floating-nut",), each=Each.SCREW, minutes=8,
        mark="nut", after=("nut",),
        title="The nut floats sideways and cannot come apart",
        words="Push it sideways both ways. Then lift the moving part by hand by 5 mm: the joint "
        "must stay together, or it can hang and drop later.",
        tools=("calipers",), hazards=(FALL, PINCH),
        accept=Measure("freedom to either side", "caliper", "mm", limits.float_needed),
        fails="Loosen what clamps it. A mount that comes apart is not used: put the old nut back.",
        firm=True,
    ),
    Step(
        id="top-freed", stage=Stage.WORK, changes=("free-top",), each=Each.SCREW, minutes=8,
        mark="screw", after=("screw-in",),
        title="Take the bearing at the top off",
        words="The screw then follows the nut. Look whether it whips at the fastest lift later.",
        tools=("hex keys",), hazards=(FALL, PINCH),
        unmeasured="A free end has no limit to keep; turning it by hand shows what came of it.",
        fails="If it whips, guide it loosely or lift slower.",
        back="Put the bearing at the top back.", loosens=True,
    ),
    Step(
        id="line-up-low", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW,
        only_new=(MOTOR2,), minutes=12,
        mark="nut",
        after=("uprights", "diagonals", "rollers", "guide-drag", "nut", "bracket", "coupling-on",
               "shaft-gap", "end-float", "top-freed", "clean", "nut-floats", "carriages"),
        title="Line up at the lowest place",
        words="What holds the screw's foot (block or motor) and the nut finger-tight. Turn by hand "
        "to the lowest place, lower blocks below it, where the screw yields least; several "
        "screws in turn, half a turn at a time, so that nothing racks. Tighten the foot, then the "
        "nut, a little at a time and crosswise. The screw is fixed at this end.",
        tools=("hex keys",), hazards=(FALL, PINCH),
        unmeasured="The next step measures it at both ends of the travel.",
        fails="If the nut pulls the screw aside while it is tightened, shim under the nut.",
        loosens=True, restores=True,
    ),
    Step(
        id="line-up-high", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW,
        only_new=(MOTOR2,), minutes=10,
        mark="screw", after=("line-up-low",),
        title="Look at the line at both ends of the travel",
        words="Screw to guide by calipers with the nut lowest and highest.",
        tools=("calipers",), hazards=(FALL, PINCH),
        accept=Measure("distance at the highest nut less at the lowest, without its sign",
                       "caliper", "mm", limits.aligned("lean_low_mm")),
        fails="Shim the foot on the side to which the screw leans, then line up low again.",
        restores=True,
    ),
    Step(
        id="top-floats", stage=Stage.WORK, changes=LINED_UP, each=Each.SCREW, only_new=(MOTOR2,),
        only_if=(("screw.top_end", ("held",)),), minutes=10, mark="screw",
        after=("line-up-high",),
        title="Fit the top bearing last, and let it float",
        words="Nut at its highest: tighten the bearing's holder there. It holds sideways only; "
        "along the axis the screw must be able to grow.",
        tools=("hex keys", "feeler leaves"), hazards=(FALL, PINCH),
        accept=Measure("gap that the screw has to grow into", "feeler", "mm", limits.top_gap),
        fails="Take the collar or nut off that holds it along the axis: one end is fixed, the "
        "other floats.",
    ),
)  # fmt: skip
