"""Instruments and motion on serial ports. Nothing below this room knows of it."""

from plumbrise.hardware.indicator import Indicator, NotTaken, Taken, take, take_together
from plumbrise.hardware.port import Port, open_port, port_names

__all__ = [
    "Indicator",
    "NotTaken",
    "Port",
    "Taken",
    "open_port",
    "port_names",
    "take",
    "take_together",
]
