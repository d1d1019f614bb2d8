"""Chosen changes as ordered work with acceptance values, to the first power-up and back."""

from plumbrise.build.order import WorkOrder, build_steps
from plumbrise.build.progress import (
    accepted,
    entered,
    on_own_word,
    task_named,
    wiring_seen,
)
from plumbrise.build.settings import Setting
from plumbrise.build.standing import Standing, State, gate_open, moves_handed_out, standing
from plumbrise.build.step import Acceptance, Each, Measure, Stage, Step, Task
from plumbrise.build.steps import STEPS
from plumbrise.build.way_back import WayBack, way_back
from plumbrise.build.work_done import WIRING, Entry, Progress

__all__ = [
    "STEPS",
    "WIRING",
    "Acceptance",
    "Each",
    "Entry",
    "Measure",
    "Progress",
    "Setting",
    "Stage",
    "Standing",
    "State",
    "Step",
    "Task",
    "WayBack",
    "WorkOrder",
    "accepted",
    "build_steps",
    "entered",
    "gate_open",
    "moves_handed_out",
    "on_own_word",
    "standing",
    "task_named",
    "way_back",
    "wiring_seen",
]
