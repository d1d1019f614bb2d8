"""Settings, the readings after, level and nozzle."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.promised import share_of_before
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import EVERY, FALL, HOMED, HOT, OPENS, PINCH, SECOND

SETTLING: tuple[Step, ...] = (
    Step(
        id="set-steps", stage=Stage.SETTLE, changes=("steps-per-mm",),
        unless=("short-lead-screw",), minutes=6, after=("bounded-moves",),
        title="Set the steps per mm",
        words="Type what lead, steps and pulleys give, save, read it back. Never by a printed "
        "cube: squash and shrinkage are in that.",
        accept=Measure("steps per mm as read back", "controller", "steps/mm", limits.steps_told),
        fails="If it does not stay after power off, it was not saved.",
        back="Type the old value from what was written down.",
    ),
    Step(
        id="hundred-mm", stage=Stage.SETTLE,
        changes=("steps-per-mm", "short-lead-screw", *SECOND), minutes=12, mark="ends",
        after=("set-lead", "set-steps", "bounded-moves"),
        title="Verify over 100 mm",
        words="Come from below to the first height, read; 100 mm further up, read again with "
        "calipers or over blocks. Too short a travel: over 50 mm, and enter twice what was read. "
        "It finds a blunder; nothing is tuned by it within its limits.",
        tools=("calipers or blocks of 100 mm",), hazards=(PINCH,),
        accept=Measure("what 100 mm told came to", "caliper", "mm", limits.hundred),
        fails="Off by a factor: lead, starts or microsteps are other than thought. Off by a "
        "little: measure again with blocks before the value is touched.",
    ),
    Step(
        id="set-touch", stage=Stage.SETTLE, changes=("slow-second-touch",), minutes=8,
        after=("bounded-moves",),
        title="Set homing to touch twice",
        words="Fast touch, lift 2 mm, touch again at a tenth of the speed. Save.",
        hazards=(PINCH,),
        unmeasured="The range of ten homings is measured in the next step.",
        fails="If the controller knows no second touch, home twice in the start of a print.",
        back="Set the old homing again.",
    ),
    Step(
        id="bracket-gives", stage=Stage.SETTLE, changes=("stiff-bracket",), each=Each.SCREW,
        only_old=("stiff-bracket",), minutes=8, mark="nut",
        after=("bracket-before", "bracket", "bounded-moves"),
        title="The nut's bracket gives less",
        words="Motors on, at the height of the reading before. Gauge on the moving part, tip on "
        "the nut, 1 kg hung at the same place, three times. Give what it gives now divided by what "
        "it gave before.",
        tools=("dial gauge", "1 kg to hang"), hazards=("hung-mass", PINCH, FALL, HOT),
        accept=Measure("what it gives under 1 kg, over what it gave before", "dial gauge", "times",
                       share_of_before("bracket_stiffness_n_per_mm")),
        fails="Blocks, then the power off: look for a screw that sits in plastic, or a gap under "
        "the bracket.",
    ),
    Step(
        id="home-range", stage=Stage.SETTLE, changes=HOMED, minutes=12, mark="ends",
        after=("home-range-before", "set-touch", "bounded-moves"),
        title="Range of ten homings",
        words="As it was read before: ten homings, gauge at the same place. Give the range now "
        "divided by the range then.",
        tools=("dial gauge",), hazards=(PINCH,),
        accept=Measure("range of ten, over the range before", "dial gauge", "times",
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
        after=("bounded-moves", "set-steps", "hundred-mm", "bracket-gives", "home-range",
               "set-touch", "layer-heights"),
        title="Take the readings after",
        words="The same set-ups, gauge, places and warmth as before, compensation off. Write into "
        "the machine file what is different now.",
        tools=("dial gauge", "readings table"), hazards=(PINCH, HOT, FALL),
        unmeasured="It is compared with the readings before, and with what was promised.",
        fails="If it is no better, explain the new readings before anything else is changed.",
    ),
    Step(
        id="level-beam", stage=Stage.SETTLE, changes=OPENS, minutes=15, mark="ends",
        after=("read-after",),
        title="Level the moving part",
        words="Home, then the height of every end over the same surface, at the same height told. "
        "One screw: set it at the far carriage. A belt: at one pulley's clamp. A motor for each "
        "screw: blocks under, switched off, that motor unplugged, its screw turned by hand; "
        "switched on again a motor jumps to its nearest step, so look again, and take out what "
        "is left at the coupling's clamp.",
        tools=("dial gauge", "equal solid blocks", "hex keys"), hazards=(PINCH, FALL),
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
        tools=("feeler leaf of 0.1 mm",), hazards=(HOT, PINCH),
        accept=Measure("leaf that just drags under the nozzle", "feeler", "mm", fixed(0.05, 0.15)),
        fails="Too thin: up at once, the nozzle scrapes. Repeat until two homings agree.",
        restores=True,
    ),
)  # fmt: skip
