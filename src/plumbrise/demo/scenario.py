"""The invented example, ready to use: machine, readings, truth and story, without simulating."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files

from plumbrise.demo.bramble import CAUSES, MACHINE
from plumbrise.files import read_readings
from plumbrise.machine import Machine
from plumbrise.readings import Readings, scale_of

STORY = (
    "An invented example. Tilda Osk prints lamp shades in a loft over a bicycle shed. Since the "
    "winter the first layers of her printer Bramble come out thin, on the right more than on the "
    "left, and from the fifth layer on all is well. One evening she borrows a gauge and walks it "
    "along the axis. Once she reads the dial a whole turn out, and once she knocks the stand; "
    "both stand in her table as they happened. Machine, owner, workshop and readings are made up; "
    "the readings come from a simulator that shares nothing with the model that explains them."
)


@dataclass(frozen=True, slots=True)
class Scenario:
    """The invented example: what its owner knows and read, what is true, and how it came to be.

    `truth` holds the ids of the causes that are there.
    """

    machine: Machine
    readings: Readings
    truth: tuple[str, ...]
    story: str


def scenario() -> Scenario:
    """The invented example: a neglected one-screw machine and an evening's readings.

    Example:
        >>> example = scenario()
        >>> example.machine.name, example.truth
        ('Bramble (invented example)', ('motor-seat', 'guide-drag', 'racking'))
    """
    folder = files("plumbrise.demo").joinpath("session")
    table = folder.joinpath("readings.csv").read_bytes()
    readings = read_readings(table, name="readings.csv", scale=scale_of(MACHINE))
    return Scenario(MACHINE, readings, CAUSES, STORY)
