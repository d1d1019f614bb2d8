"""Two invented evenings of one machine, before and after the work."""

from importlib.resources import files

import pytest

from plumbrise.analyse import analyse
from plumbrise.demo import scenario
from plumbrise.files import read_machine, read_readings
from plumbrise.prove import Stage
from plumbrise.readings import scale_of

KEPT = files("plumbrise.demo").joinpath("session")


def stage_of(name, machine, readings, **more):
    return Stage(name, machine, readings, analyse(readings, scale_of(machine)), **more)


@pytest.fixture(scope="session")
def before():
    example = scenario()
    return stage_of("before", example.machine, example.readings)


@pytest.fixture(scope="session")
def after():
    machine = read_machine(
        KEPT.joinpath("after-machine.toml").read_text(encoding="utf-8"), name="after-machine.toml"
    )
    readings = read_readings(
        KEPT.joinpath("after-readings.csv").read_bytes(),
        name="after-readings.csv",
        scale=scale_of(machine),
        arrangement=machine.arrangement,
    )
    return stage_of("after", machine, readings)
