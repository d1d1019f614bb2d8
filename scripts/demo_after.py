"""Make the invented machine's second session: what its owner read after the work.

    python scripts/demo_after.py      writes src/plumbrise/demo/session/after-*

Tilda Osk did what redesign proposed: she set the rollers anew and hung the right end on a second
screw, tied to the first by a belt. What that made of the machine is drawn up here; how it was
read comes from the same simulator as the first evening.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from plumbrise.demo.bramble import AXIS, MACHINE
from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis, Lift
from plumbrise.files import write_machine, write_readings
from plumbrise.machine import Machine
from plumbrise.readings import Readings
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.machine_changed import machine_changed

SESSION = Path(__file__).parents[1] / "src" / "plumbrise" / "demo" / "session"
DONE = ("set-rollers", "second-screw-tied")
SEED = 21


def machine_after() -> Machine:
    """What Tilda Osk knows of Bramble after the work."""
    found = machine_changed(MACHINE, [CATALOGUE[change] for change in DONE])
    screw = replace(found.screw.common, side=None)  # with two there is no side to name
    return replace(found, screw=replace(found.screw, common=screw))


def axis_after() -> Axis:
    """What the work made of the machine."""
    first = replace(AXIS.lifts[0], thrust_n_per_mm=1500.0)
    second = Lift(
        thrust_n_per_mm=1400.0,
        bracket_n_per_mm=480.0,
        play_mm=0.03,
        belt_n_per_mm=3000.0,
        belt_slack_mm=0.003,
        once_a_turn_mm=0.002,
        once_a_turn_phase=0.4,
    )
    guides = tuple(
        replace(guide, drag_n=drag, reach_mm=0.05)
        for guide, drag in zip(AXIS.guides, (2.1, 2.4), strict=True)
    )
    return replace(
        AXIS, machine=machine_after(), lifts=(first, second), guides=guides, racking_n_per_mm=30.0
    )


def readings_after() -> Readings:
    """What she read on the evening after."""
    runs, axis = plan(machine_after()), axis_after()
    draws = draw(runs, np.random.default_rng(SEED))
    return written_down(axis, happened(axis, runs, draws), draws)


def main() -> None:
    """Write both files."""
    (SESSION / "after-machine.toml").write_text(write_machine(machine_after()), encoding="utf-8")
    (SESSION / "after-readings.csv").write_text(write_readings(readings_after()), encoding="utf-8")


if __name__ == "__main__":
    main()
