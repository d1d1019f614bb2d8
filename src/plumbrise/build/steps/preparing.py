"""What is done while the printer still prints: readings, settings, parts."""

from __future__ import annotations

from plumbrise.build.limits import fixed
from plumbrise.build.step import Measure, Stage, Step
from plumbrise.build.steps.brought_by import EVERY, FALL, HOT, KEPT, MOTOR2, OPENS, PINCH, PLUG

PREPARING: tuple[Step, ...] = (
    Step(
        id="read-before", stage=Stage.BEFORE, changes=EVERY, minutes=45, mark="ends",
        title="Take the readings before",
        words="Run the set-ups of your plan and keep the readings table: without it nobody can "
        "say later what was won. Same gauge, same places, cold, compensation off.",
        tools=("dial gauge", "readings table"), hazards=(PINCH, HOT, FALL),
        unmeasured=KEPT,
        fails="Where the readings scatter, mend the stand of the gauge first and read again.",
    ),
    Step(
        id="write-down", stage=Stage.BEFORE, changes=EVERY, minutes=15,
        title="Write the settings down",
        words="From the controller: steps per mm, travel, speeds, currents, directions, homing, "
        "nozzle offset, compensation. Save the file of settings if there is one.",
        tools=("paper or a file",),
        unmeasured=KEPT,
        fails="If a value cannot be read out, photograph the menu or the file that holds it.",
    ),
    Step(
        id="photograph", stage=Stage.BEFORE, changes=OPENS, minutes=10, mark="motor-shaft",
        title="Photograph wiring and joints, label both ends",
        words="With the machine switched off and its plug out: every plug from two sides, colours "
        "and places to be read; every joint that will be opened. A label on both ends of every "
        "cable. Then it may print on.",
        tools=("camera", "labels"), hazards=("mains", PLUG),
        unmeasured=KEPT,
        fails="If a colour cannot be told on the picture, take it again with more light.",
    ),
    Step(
        id="measure-first", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="measure-first",
        title="Measure the machine before ordering",
        words="Give the values found as words; order by these and not by a drawing.",
        tools=("calipers", "dial gauge"), hazards=(PINCH,),
        unmeasured="The values decide what is ordered; the parts are measured when they come.",
        fails="Where a place cannot be reached, order nothing that hangs on it.",
    ),
    Step(
        id="order-parts", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="bought",
        after=("measure-first",),
        title="Order what is bought, what takes longest first",
        words="The printer stays in use until every part is there and fits.",
        unmeasured="Ordered or not ordered; each part is measured when it comes.",
        fails="Where a part cannot be had, take its change out and have the order made anew.",
    ),
    Step(
        id="print-parts", stage=Stage.BEFORE, changes=EVERY, minutes=20, lists="printed",
        after=("measure-first",),
        title="Print the printed parts, and one to spare",
        words="The printer will be out of service: what it has to print for itself is printed now, "
        "solid, in a plastic that does not creep when warm.",
        unmeasured="Each part is measured in a step of its own.",
        fails="Print it again before anything is opened; a part that warps is a part that fails.",
    ),
    Step(
        id="driver-current", stage=Stage.BEFORE, changes=(MOTOR2,), minutes=15,
        title="Set the second driver's limit, its socket still empty",
        words="A setting in software: type it, save it, read it back. A trimmer: leave it to "
        "someone who has set one. No second driver on the board: both motors share one, see the "
        "list of settings.",
        tools=("data sheet of motor and driver",), hazards=(PLUG, "mains"),
        accept=Measure("limit set, effective, over the motor's rated current", "data sheet",
                       "times", fixed(0.3, 1.0)),
        fails="Find out whether the setting means peak or effective, and set it anew.",
        back="Set the driver's old limit again.",
    ),
)  # fmt: skip
