"""Instruments and motion on serial ports. Nothing below this room knows of it."""

from plumbrise.hardware.controller import Controller
from plumbrise.hardware.indicator import Indicator, NotTaken, Taken, Trouble, take, take_together
from plumbrise.hardware.mover import Mover, Waits
from plumbrise.hardware.outcomes import AtStop, Bound, Cause, Finished, Halted, Timing
from plumbrise.hardware.port import Port, open_port, port_names

__all__ = [
    "AtStop",
    "Bound",
    "Cause",
    "Controller",
    "Finished",
    "Halted",
    "Indicator",
    "Mover",
    "NotTaken",
    "Port",
    "Taken",
    "Timing",
    "Trouble",
    "Waits",
    "open_port",
    "port_names",
    "take",
    "take_together",
]
