"""The invented example, ready to use: machine, readings, truth and story, without simulating."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib.resources import files
from itertools import groupby

from plumbrise.demo.bramble import CAUSES, MACHINE
from plumbrise.machine import STATIONS, Machine
from plumbrise.readings import KINDS, Reading, Readings, Run

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
    return Scenario(MACHINE, _readings(), CAUSES, STORY)


def _readings() -> Readings:
    text = files("plumbrise.demo").joinpath("session/readings.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    return Readings(
        tuple(_run(name, list(group)) for name, group in groupby(rows, key=lambda r: r["run"]))
    )


def _run(name: str, rows: list[dict[str, str]]) -> Run:
    first = rows[0]
    return Run(
        name=name,
        kind=KINDS[first["test"]],
        station=STATIONS[first["station"]],
        readings=tuple(map(_reading, rows)),
        axis=first["axis"] or "up",
        stand_on=first["stand_on"] or "frame",
    )


def _reading(row: dict[str, str]) -> Reading:
    def number(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    return Reading(
        seq=int(row["seq"]),
        target_mm=float(row["target_mm"]),
        reading_mm=number("reading_mm"),
        approach=row["approach"],
        mass_kg=number("mass_kg") or 0.0,
        mass_at_mm=number("mass_at_mm"),
        force_n=number("force_n"),
        torque_nmm=number("torque_nmm"),
        time_s=number("time_s"),
        temp_c=number("temp_c"),
        note=row["note"],
    )
