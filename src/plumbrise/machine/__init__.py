"""What an axis is made of: arrangements, stations, parts, defaults with their trust."""

from plumbrise.elements.asked import Trust
from plumbrise.machine.arrangements import (
    ARRANGEMENTS,
    ONE_SCREW,
    THREE_SCREW_BED,
    TWO_SCREW,
    TWO_SCREW_TIED,
    Arrangement,
)
from plumbrise.machine.defaults import DEFAULTS, Known, centre_of_mass_mm, known, lead_mm
from plumbrise.machine.description import Machine, PerSide, blank
from plumbrise.machine.stations import BLOCK, LINK_STATIONS, STATIONS, Station, stations_of

__all__ = [
    "ARRANGEMENTS",
    "BLOCK",
    "DEFAULTS",
    "LINK_STATIONS",
    "ONE_SCREW",
    "STATIONS",
    "THREE_SCREW_BED",
    "TWO_SCREW",
    "TWO_SCREW_TIED",
    "Arrangement",
    "Known",
    "Machine",
    "PerSide",
    "Station",
    "Trust",
    "blank",
    "centre_of_mass_mm",
    "known",
    "lead_mm",
    "stations_of",
]
