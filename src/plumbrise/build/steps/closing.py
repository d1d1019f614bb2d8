"""Springs, belts, clamps and what ends the work at the axis."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.promised import share_of_before
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import (
    BELTED,
    CLAMPED,
    FALL,
    LEVELLED,
    MOTOR2,
    OPENS,
    PINCH,
    TIED,
)

CLOSING: tuple[Step, ...] = (
    Step(
        id="spring", stage=Stage.WORK, changes=("counterweight",), minutes=60, mark="ends",
        after=("rollers", "line-up-high"),
        title="Hang the spring or weight at the far side",
        words="Slacken it slowly, face turned away. It must not reach the bed if its cord breaks.",
        tools=("hex keys", "drill", "spring balance"),
        hazards=("stored-tension", "hung-mass", FALL, "metal-chips"),
        accept=Measure("pull of the spring or weight", "spring balance", "N",
                       limits.spring_pull),
        fails="Take another spring, or weight off; more than this opens the nut's play.",
        back="Take the spring or weight off.", loosens=True,
    ),
    Step(
        id="level-before-belt", stage=Stage.WORK, changes=("larger-pulleys", TIED), minutes=15,
        mark="ends",
        after=("line-up-high", "top-floats", "rollers", "spring"),
        title="Level against equal blocks",
        words="Belt off. Equal blocks under every end, turn each screw by hand until the moving "
        "part rests on all alike. Never level by running on to a stop.",
        tools=("equal solid blocks", "dial gauge"), hazards=(FALL, PINCH),
        accept=Measure("highest end less lowest end", "dial gauge", "mm",
                       limits.level),
        fails="Turn the lower screw on; exchange the blocks to see that they are equal.",
        loosens=True,
    ),
    Step(
        id="pulleys", stage=Stage.WORK, changes=("larger-pulleys", TIED), minutes=25,
        mark="screw", after=("level-before-belt",),
        title="Lay the belt and clamp the pulleys, the moving part level",
        words="Both pulleys of equal teeth, loose on their screws, in one plane. Belt on, just "
        "taut. Clamp them while the moving part rests on equal blocks, then look at the level "
        "again.",
        tools=("hex keys", "dial gauge"), hazards=(PINCH, "stored-tension", FALL),
        accept=Measure("highest end less lowest end, after clamping", "dial gauge", "mm",
                       limits.level),
        fails="Loosen one clamp, level, clamp again. Whole teeth come no nearer than half a tooth: "
        "the clamp sets the rest.",
        back="Take the belt and the pulleys off, put the old ones on, the moving part level.",
        loosens=True,
    ),
    Step(
        id="belt-tension", stage=Stage.WORK, changes=BELTED, minutes=12, mark="screw",
        after=("pulleys",),
        title="Tension the belt by its tone",
        words="Turn the screws a turn each way, then pluck the longest free span and "
        "read its tone.",
        tools=("hex keys", "a phone that shows the pitch of a tone"),
        hazards=(PINCH, "stored-tension"),
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
        tools=("hex keys", "dial gauge"), hazards=(PINCH, "mains"),
        accept=Measure("what the bracket gives under the touch, beside the switch", "dial gauge",
                       "mm", fixed(0.0, 0.02)),
        fails="A bracket that gives is no better than the old one: ribs, or metal.",
        back="Put the switch on its old bracket.", loosens=True,
    ),
    Step(
        id="clamps", stage=Stage.WORK, changes=CLAMPED, each=Each.SCREW, minutes=10,
        only_new=(MOTOR2,),
        mark="motor-shaft", after=("coupling-on", "pulleys", "belt-tension", "line-up-high"),
        title="Degrease, tighten and mark the clamps",
        words="Solvent on shaft and bore only. Tighten, and draw a line across every joint: after "
        "fifty strokes it must be whole.",
        tools=("hex keys", "solvent", "paint pen", "calipers"), hazards=(FALL, PINCH),
        accept=Measure("step in the line after ten turns by hand each way", "caliper", "mm",
                       fixed(0.0, 0.1)),
        fails="Clean again, a new screw in the clamp, a shaft with a flat for a set screw.",
        loosens=True, restores=True, closes=("coupling-open", "pulleys"),
    ),
    Step(
        id="frame-push", stage=Stage.WORK, changes=("brace-frame",), minutes=8, mark="frame",
        after=("frame-push-before", "diagonals"),
        title="The frame gives less",
        words="Gauge at the top of an upright, push with 10 N, at the places of the reading "
        "before. Give what it reads now divided by what it read then.",
        tools=("dial gauge", "spring balance"), hazards=(PINCH,),
        accept=Measure("what it reads under 10 N, over what it read before", "dial gauge", "times",
                       share_of_before("stiffness_n_per_mm")),
        fails="Look for the joint that slips: a line across it shows which.",
    ),
    Step(
        id="hand-turn", stage=Stage.WORK, changes=OPENS, each=Each.SCREW, minutes=8, mark="screw",
        after=("line-up-high", "top-floats", "clamps", "belt-tension", "rollers", "clean",
               "spring", "level-before-belt", "frame-push", "switch", "guide-drag", "diagonals"),
        title="Turn by hand over the whole travel",
        words="Motors unplugged, a block close below the moving part, no fingers between. Where "
        "there are several screws and no belt, half a turn at each in turn, so that nothing racks. "
        "It must turn as easily at the top as at the bottom and not stick within a turn. End in "
        "the middle of the travel, where the first move will begin.",
        tools=("lever", "spring balance"), hazards=(FALL, PINCH),
        accept=Measure("torque at its hardest place over that at its easiest", "spring balance",
                       "times", fixed(1.0, 1.5)),
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
        tools=("equal solid blocks", "dial gauge"), hazards=(FALL, PINCH),
        accept=Measure("highest end less lowest end", "dial gauge", "mm", limits.level),
        fails="Turn the lower screw on; exchange the blocks to see that they are equal.",
        loosens=True,
    ),
)  # fmt: skip
