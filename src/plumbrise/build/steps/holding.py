"""The machine held up, switched off and unplugged."""

from __future__ import annotations

from plumbrise.build.limits import fixed
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import FALL, HOT, LOOKED, OPENS, PINCH, PLUG

HOLDING: tuple[Step, ...] = (
    Step(
        id="blocks", stage=Stage.HELD, changes=OPENS, each=Each.END, minutes=3, mark="ends",
        title="Blocks under the moving part",
        words="Nozzle and bed cold. Drive the moving part to a height at which you can work, at "
        "least 100 mm or near the top, and put a solid block under this end that cannot tip. The "
        "screw still holds it: nothing is loosened and nothing switched off before blocks stand "
        "everywhere.",
        tools=("equal solid blocks", "feeler leaves"), hazards=(FALL, HOT, PINCH),
        accept=Measure("gap between block and moving part", "feeler", "mm", fixed(0.0, 1.0)),
        fails="Shim the block. A gap is the height from which it falls.",
        back="Drive the moving part off it, upward, and take the block away.",
        restores=True, firm=True,
    ),
    Step(
        id="power-off", stage=Stage.HELD, changes=OPENS, minutes=3, after=("blocks",),
        title="Switch off, pull the mains plug, wait",
        words="Leave every cover of the supply closed: work on mains and on the wiring of a heated "
        "bed is no part of this and belongs to qualified people.",
        tools=("clock",), hazards=("mains", "stored-charge", FALL),
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
        hazards=(PLUG,),
        unmeasured=LOOKED,
        fails="If a plug does not come, hold the socket and not the wires. Never under power.",
        back="Plug the motors in again by label and photograph, power off.",
    ),
)  # fmt: skip
