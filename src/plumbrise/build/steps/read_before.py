"""What is read before anything is opened, so that a later step has something to be held against."""

from __future__ import annotations

from plumbrise.build.step import Each, Stage, Step
from plumbrise.build.steps.brought_by import FALL, HOMED, HOT, PINCH

_KEPT = "Kept to divide by: the step after the work is held against it."

READ_BEFORE: tuple[Step, ...] = (
    Step(
        id="bracket-before", stage=Stage.BEFORE, changes=("stiff-bracket",), each=Each.SCREW,
        only_old=("stiff-bracket",), minutes=8, mark="nut",
        title="What the nut's bracket gives",
        words="Motors on, cold, the moving part on its screws at 50 mm. Gauge on the moving part, "
        "tip on the nut. Hang 1 kg from the moving part beside this nut, read, take it off, read; "
        "three times. Give the mean difference in mm, and where it hung.",
        tools=("dial gauge", "1 kg to hang"), hazards=("hung-mass", PINCH, FALL, HOT),
        unmeasured=_KEPT,
        fails="Where the tip finds no place on the nut, clamp a small angle to its flange.",
    ),
    Step(
        id="frame-push-before", stage=Stage.BEFORE, changes=("brace-frame",), minutes=8,
        mark="frame",
        title="What the frame gives",
        words="Gauge on a stand on the table, tip level against the top of an upright. Push there "
        "with 10 N, read, let go, read; three times. Give the mean difference in mm.",
        tools=("dial gauge", "spring balance"), hazards=(PINCH, HOT),
        unmeasured=_KEPT,
        fails="Where the whole machine slides, wedge its feet and read again.",
    ),
    Step(
        id="home-range-before", stage=Stage.BEFORE, changes=HOMED, minutes=12, mark="ends",
        title="Range of ten homings as it is",
        words="Ten homings, the gauge at one end of the moving part and left untouched. Give the "
        "highest reading less the lowest, in mm.",
        tools=("dial gauge",), hazards=(PINCH, HOT),
        unmeasured=_KEPT,
        fails="Where the gauge was knocked, begin the ten anew.",
    ),
)  # fmt: skip
