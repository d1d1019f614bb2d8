"""The readings table, test kinds, and what the axis did between readings."""

from plumbrise.readings.columns import COLUMNS, Column
from plumbrise.readings.history import Move, moves
from plumbrise.readings.kinds import KINDS, Kind
from plumbrise.readings.scale import scale_of
from plumbrise.readings.table import Reading, Readings, Run, Scale

__all__ = [
    "COLUMNS",
    "KINDS",
    "Column",
    "Kind",
    "Move",
    "Reading",
    "Readings",
    "Run",
    "Scale",
    "moves",
    "scale_of",
]
