"""Machines and sets of changes to build."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import strategies as st

from plumbrise.build import WIRING, Progress, build_steps, entered, wiring_seen
from plumbrise.machine import ARRANGEMENTS, PerSide, blank
from plumbrise.machine.description import Controller, Gantry, Screw, Travel
from plumbrise.redesign import Workshop
from plumbrise.redesign.sets import allowed_sets, members


def described(arrangement="one-screw", **more):
    """A machine whose owner gave what the limits need."""
    return replace(
        blank(arrangement),
        name="Shed printer",
        travel=Travel(height_mm=250.0),
        screw=PerSide(Screw(lead_mm=8.0, starts=4, diameter_mm=8.0, length_mm=330.0)),
        gantry=Gantry(mass_kg=1.1),
        controller=Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
        **more,
    )


def _with_screw(**facts):
    screw = Screw(lead_mm=8.0, starts=4, diameter_mm=8.0, length_mm=330.0, **facts)
    return replace(described(), screw=PerSide(screw))


MACHINES = {name: described(name) for name in ARRANGEMENTS} | {
    "held": _with_screw(top_end="held"),
    "right": _with_screw(side="right"),
    "little known": blank("one-screw"),
}
CHANGES = {name: Workshop().changes_for(machine) for name, machine in MACHINES.items()}
SETS = {name: allowed_sets(changes) for name, changes in CHANGES.items()}


def set_of(name, number):
    """One of the sets that can be made together on a machine, by its number."""
    masks = SETS[name]
    return members(int(masks[1 + number % (len(masks) - 1)]), CHANGES[name])


@st.composite
def _orders(draw):
    name = draw(st.sampled_from(sorted(MACHINES)))
    return build_steps(MACHINES[name], set_of(name, draw(st.integers(0, 2**31))))


@pytest.fixture(scope="session")
def orders():
    """Work orders for any set of changes on any of the machines."""
    return _orders()


@pytest.fixture(scope="session")
def many_sets():
    """Sets drawn evenly over all that can be made together, on every machine in turn."""

    def sets(count, seed=8):
        rng = np.random.default_rng(seed)
        names = sorted(MACHINES)
        for i in range(count):
            name = names[i % len(names)]
            yield MACHINES[name], set_of(name, int(rng.integers(2**31)))

    return sets


@pytest.fixture(scope="session")
def machine():
    return described()


def good_value(task):
    """What a person enters who has met the limit of a task."""
    if task.accept is None:
        return "done"
    bounds = task.accept.bounds
    if bounds.multiple is not None:
        return f"{2 * bounds.multiple}"
    if bounds.low is not None and bounds.high is not None:
        return f"{(bounds.low + bounds.high) / 2}"
    return f"{bounds.low if bounds.low is not None else bounds.high or 0.0}"


def bad_value(task):
    """What a person enters who has missed it; None where nothing can be missed."""
    bounds = task.accept.bounds if task.accept is not None else None
    if bounds is None or bounds.missing:
        return None
    if bounds.multiple is not None:
        return f"{1.5 * bounds.multiple}"
    if bounds.high is not None:
        return f"{bounds.high + 1 + abs(bounds.high)}"
    return f"{bounds.low - 1 - abs(bounds.low)}"


@pytest.fixture(scope="session")
def good():
    return good_value


@pytest.fixture(scope="session")
def bad():
    return bad_value


@pytest.fixture(scope="session")
def worked():
    """An order worked through up to (not with) a task, every limit met."""

    def up_to(order, stop="", progress=None):
        made = progress or Progress(changes=order.changes)
        for task in order.tasks:
            if task.id == stop or task.step.id == stop:
                return made
            if task.id == WIRING:
                made = wiring_seen(order, made, "go", when="2026-01-05")
            else:
                made = entered(order, made, task.id, good_value(task), when="2026-01-05")
        return made

    return up_to
