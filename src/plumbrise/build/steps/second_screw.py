"""The place of a second screw, and its motor."""

from __future__ import annotations

from plumbrise.build.limits import fixed
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import FALL, MOTOR2, PINCH, PLUG, SECOND

SECOND_SCREW: tuple[Step, ...] = (
    Step(
        id="second-guide", stage=Stage.WORK, changes=SECOND, each=Each.SCREW,
        only_new=SECOND, minutes=60,
        mark="ends", after=("uprights", "diagonals", "rollers"),
        title="Prepare the place of the second screw",
        words="Holes for block or motor bracket and for the nut's bracket, by template. Drill with "
        "the electronics covered and the moving part on its blocks; then screw the holders on, "
        "finger-tight.",
        tools=("drill", "square", "calipers"), hazards=(FALL, "metal-chips"),
        accept=Measure("distance of the new screw from its guide, less that of the old one",
                       "caliper", "mm", fixed(-0.5, 0.5)),
        fails="Widen the holes and shift; drill anew rather than pull a screw over.",
        back="Take the holders of the second screw off.",
    ),
    Step(
        id="second-motor", stage=Stage.WORK, changes=(MOTOR2,), each=Each.SCREW,
        only_new=(MOTOR2,), minutes=30,
        mark="motor-shaft", after=("second-guide",),
        title="Mount the second motor and lay its cable",
        words="Motor on its bracket, finger-tight. The cable as far as the board and not into it; "
        "tied so that neither end of the travel pulls at it.",
        tools=("hex keys", "cable ties", "tape"), hazards=(PINCH, PLUG),
        accept=Measure("slack of the cable with the moving part furthest away", "tape", "mm",
                       fixed(20.0)),
        fails="Lay it another way or take a longer one; a tight cable breaks inside.",
        back="Take the second motor and its cable off.",
    ),
)  # fmt: skip
