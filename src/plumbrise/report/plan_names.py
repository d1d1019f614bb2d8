"""What a set-up and its readings are called, in the plan, at the gauge and on the page."""

from __future__ import annotations

from plumbrise.measure.mounting import test_of
from plumbrise.readings import Run
from plumbrise.report.names import station_name


def run_title(run: Run) -> str:
    """A set-up in a title.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings.kinds import REVERSAL
        >>> run_title(Run(name="a", kind=REVERSAL, station=STATIONS["screw"], readings=()))
        'Reversal, end of the screw'
    """
    return f"{test_of(run)[0]}, {station_name(run.station.id)}"
