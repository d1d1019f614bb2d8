"""The columns of the readings table: one record each, from which readers, writers, documents and
schemas draw."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the readings table."""

    name: str
    unit: str
    words: str
    required: bool = False
    number: bool = True
    choices: tuple[str, ...] = ()
    other_names: tuple[str, ...] = ()


COLUMNS = (
    Column("run", "", "One gauge set-up: within it the zero is fixed but unknown.", True, False),
    Column("test", "", "Test kind.", True, False),
    Column("station", "", "Where the gauge's tip rests.", True, False),
    Column("seq", "", "Order within the run, from 0.", True),
    Column(
        "target_mm",
        "mm",
        "Height that the axis was told to go to.",
        True,
        other_names=("target", "told", "told_mm", "commanded", "commanded_mm"),
    ),
    Column(
        "reading_mm",
        "mm",
        "Gauge reading, positive upward; sideways, positive in the direction of the push.",
        True,
        other_names=("reading", "read", "gauge", "gauge_mm", "dial", "dial_mm"),
    ),
    Column("approach", "", "Direction of the last move.", number=False, choices=("up", "down")),
    Column("mass_kg", "kg", "Hung mass, 0 if none."),
    Column(
        "mass_at_mm",
        "mm",
        "Where the mass hangs, from the left guide; the middle of the beam if empty.",
    ),
    Column(
        "force_n",
        "N",
        "Side push, or a pull on the beam with a spring balance, positive upward.",
    ),
    Column("torque_nmm", "N·mm", "Torque to turn the screw by hand."),
    Column("time_s", "s", "Time since the start of the session."),
    Column("temp_c", "°C", "Temperature at the machine."),
    Column(
        "axis",
        "",
        "Direction of the reading.",
        number=False,
        choices=("up", "left-right", "front-back"),
    ),
    Column(
        "stand_on",
        "",
        "What the gauge's stand stands on: frame, bed, table or a station.",
        number=False,
    ),
    Column("note", "", "Free text, never read by the program.", number=False),
)
BY_NAME = {column.name: column for column in COLUMNS}
REQUIRED = tuple(column.name for column in COLUMNS if column.required)
