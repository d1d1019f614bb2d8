"""The gates before the power, and the first moves."""

from __future__ import annotations

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.step import Each, Measure, Stage, Step
from plumbrise.build.steps.brought_by import FALL, HOT, LOOKED, OPENS, PINCH, PLUG

POWER: tuple[Step, ...] = (
    Step(
        id="gate-chips", stage=Stage.POWER, changes=OPENS, minutes=5,
        title="Gate: nothing metallic lies loose",
        words="Brush and vacuum, a magnet over board, supply and bed. Tools off the machine.",
        tools=("brush", "vacuum", "magnet"), hazards=("metal-chips",),
        accept=Measure("chips and screws found at the last look", "eye", "pieces", fixed(0.0, 0.0)),
        fails="Clean and look again until a look finds none.",
        restores=True, firm=True,
    ),
    Step(
        id="gate-switch", stage=Stage.POWER, changes=OPENS, minutes=5, mark="frame",
        title="Gate: the homing switch changes state by hand",
        words="Ohmmeter at its unplugged plug, press and let go five times. Then plug it in again.",
        tools=("multimeter",), hazards=(PLUG,),
        accept=Measure("changes seen in five presses", "multimeter", "changes", fixed(5.0, 5.0)),
        fails="Without it homing drives into the stop: mend switch or wire first.",
        restores=True, firm=True,
    ),
    Step(
        id="gate-blocks", stage=Stage.POWER, changes=OPENS, each=Each.END, minutes=3, mark="ends",
        title="Gate: low blocks, room above and below",
        words="The moving part in the middle of its travel, on the screw alone, a block below it "
        "that it would fall on. Nothing in the way of the first half millimetre.",
        tools=("equal solid blocks", "calipers"), hazards=(FALL, PINCH),
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
        unmeasured=LOOKED,
        fails="Leave it off and have it looked at by a qualified person.",
        restores=True, firm=True,
    ),
    Step(
        id="first-power", stage=Stage.POWER, changes=OPENS, minutes=5, mark="motor-shaft",
        after=("wiring-go", "plug-in", "gate-chips", "gate-switch", "gate-blocks", "gate-earth"),
        title="Switch on, hand on the switch",
        words="Heaters off. Nothing is told to move. For two minutes watch, listen and smell: "
        "no smoke, no hum that grows, no motor or driver that gets too hot to touch.",
        tools=("clock",), hazards=(PINCH, HOT, "mains"),
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
        accept=Measure("steps per mm as read back", "controller", "steps/mm", limits.steps_told),
        fails="If it does not stay after power off, it was not saved.",
        back="Type the old value from what was written down.", firm=True,
    ),
    Step(
        id="first-move", stage=Stage.POWER, changes=OPENS, each=Each.SCREW, minutes=5,
        mark="screw", after=("first-power", "set-lead"),
        title="First move: half a millimetre away from the nozzle",
        words="From the controller's own panel, at 2 mm/s or slower, hand on the switch. Watch all "
        "screws: the same way, the same angle, no buzz. The gauge shows which way.",
        tools=("dial gauge",), hazards=(PINCH, FALL),
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
        words="Bed plate off, or foam of 5 mm on it. Blocks away now. Press the switch with a pen "
        "while it homes: it must stop at once. Only then let it find the switch by itself.",
        hazards=(PINCH, FALL, HOT),
        accept=Measure("homings that stopped at your touch, of two", "eye", "homings",
                       fixed(2.0, 2.0)),
        fails="Off. Look at the switch's wire, its plug and which input the controller reads.",
        restores=True, firm=True,
    ),
    Step(
        id="bounded-moves", stage=Stage.POWER, changes=OPENS, minutes=12, mark="ends",
        after=("first-home",),
        title="Bounded moves over the travel, hand on the switch",
        words="Run the program of first moves: it passed the checker for this machine, goes slowly "
        "and waits after each, at a stop or for some seconds. Then: every end moved alike, no "
        "scraping, cable free, motors not too hot to touch.",
        hazards=(PINCH, FALL),
        accept=Measure("waits at which something was wrong", "eye", "waits", fixed(0.0, 0.0)),
        fails="Off at once where it shows. Scraping at one height: line up again there.",
        restores=True, firm=True,
    ),
)  # fmt: skip
