"""A shelf of its own for every test."""

from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from plumbrise.machine import STATIONS, blank
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.store import Shelf


@pytest.fixture
def now():
    """A clock that is a second later each time it is looked at."""
    seconds = count()
    return lambda: datetime(2026, 3, 1, 18, tzinfo=UTC) + timedelta(seconds=next(seconds))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shelf.sqlite3"


@pytest.fixture
def shelf(path, now):
    with Shelf.open(path, now=now) as opened:
        yield opened


@pytest.fixture
def machine_id(shelf):
    return shelf.add_machine(blank("one-screw"), "Shed")


@pytest.fixture
def run_id(shelf, machine_id):
    return shelf.begin_run(machine_id, kind=COARSE_STEPS, station=STATIONS["gantry-left"])
