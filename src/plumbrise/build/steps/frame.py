"""Frame square, carriages and rollers set."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.promised import promised
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import FALL, FELT, PINCH, SECOND, SQUARED

FRAME: tuple[Step, ...] = (
    Step(
        id="gussets", stage=Stage.WORK, changes=("brace-frame",), minutes=30, mark="frame",
        title="Put gussets or brace on, finger-tight",
        words="Only finger-tight: they are tightened when the frame is square, so that they hold "
        "it so and do not pull it out.",
        tools=("hex keys", "square"), hazards=(PINCH,),
        unmeasured=FELT,
        fails="Where it stands in the way of the moving part, move it or leave that one off.",
        back="Take the gussets off.", loosens=True,
    ),
    Step(
        id="uprights", stage=Stage.WORK, changes=SQUARED, minutes=35, mark="frame",
        after=("gussets",),
        title="Uprights as far apart at the top as at the bottom",
        words="Measure between the uprights at bottom and top with inside calipers or a rod of "
        "fixed length. If they differ, loosen the feet, set, tighten, measure again.",
        tools=("inside calipers or a rod of fixed length", "hex keys"), hazards=(FALL, PINCH),
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
        tools=("tape or rod", "hex keys"), hazards=(PINCH,),
        accept=Measure("one diagonal less the other", "tape", "mm", fixed(-0.5, 0.5)),
        fails="Loosen the corner screws, pull the longer diagonal together, tighten and measure.",
    ),
    Step(
        id="carriages", stage=Stage.WORK, changes=("stiff-carriages",), each=Each.END,
        minutes=50, mark="ends", after=("uprights", "diagonals"),
        title="Exchange the carriage plate",
        words="One end after the other, the other end stays on its rollers. The moving part "
        "lies on its blocks throughout.",
        tools=("hex keys", "spanner", "drill"), hazards=(FALL, PINCH, "metal-chips"),
        unmeasured="The shake is measured in the step that sets the rollers.",
        fails="If a hole does not meet, do not force it: put the old plate back and mend the new.",
        back="Put the old carriage plate back.", loosens=True,
    ),
    Step(
        id="rollers", stage=Stage.WORK,
        changes=("set-rollers", "stiff-carriages", "square-frame", "brace-frame", *SECOND),
        each=Each.END, minutes=12, mark="ends", after=("uprights", "diagonals", "carriages"),
        title="Guide without shake and without squeeze",
        words="Turn the eccentric (or shim) until a roller can just be slipped with a finger. Then "
        "push the carriage's upper edge to its upright and away from it, gauge on it "
        "level, in the direction of the push. After the frame, not before it.",
        tools=("spanner for the eccentrics", "dial gauge"), hazards=(FALL, PINCH),
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
        "difference of the two is its drag. Back on the blocks the nut goes on again, "
        "finger-tight: it is lined up later.",
        tools=("spring balance",), hazards=(FALL, PINCH),
        accept=Measure("drag of this end", "spring balance", "N",
                       promised("drag_n", "set-rollers")),
        fails="Turn the eccentric back until it is met, then look at the shake again.",
        loosens=True,
    ),
)  # fmt: skip
