"""A table read as the tests read it: at the left of the gantry, on a plain scale."""

from plumbrise.files import read_readings
from plumbrise.readings import Scale

TOLD_AND_READ = [(0, 0.0), (1, 0.81), (2, 1.79), (3, 2.8), (4, 3.815)]


def read(text, **said):
    data = text if isinstance(text, bytes) else text.encode()
    said = {"scale": Scale(), "station": "gantry-left", **said}
    return read_readings(data, name="evening.csv", **said)


def values(readings):
    return [(r.target_mm, r.reading_mm) for run in readings.runs for r in run.readings]
