"""The wiring, proved and plugged in."""

from __future__ import annotations

from plumbrise.build.step import Stage, Step
from plumbrise.build.steps.brought_by import LOOKED, OPENS, PLUG

WIRING: tuple[Step, ...] = (
    Step(
        id="wiring-go", stage=Stage.WIRING, changes=OPENS, minutes=20, mark="motor-shaft",
        title="Prove the wiring",
        words="Measure the cables at the board end, not yet plugged in there, and have them "
        "judged: on the wiring sheet of the page, or by plumbrise wiring. Power stays shut "
        "until the verdict is go, or until you take it on yourself in words.",
        tools=("multimeter",), hazards=(PLUG, "stored-charge"),
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
        hazards=(PLUG,),
        unmeasured=LOOKED,
        fails="If a plug goes in two ways, find out which before anything else.",
        restores=True, firm=True,
    ),
)  # fmt: skip
