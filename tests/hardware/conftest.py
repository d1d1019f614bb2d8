"""Stand-ins for indicator and controller on pseudo-terminals, which misbehave when told to.

The fixtures hand out functions that start one; every stand-in started is ended with the test.
"""

import pytest


@pytest.fixture
def line_end(stand_ins):
    """Start a bare line end: `far = line_end()`, bytes go in by `far.send`."""
    yield from _started(stand_ins.FarEnd)


@pytest.fixture
def stand_in_indicator(stand_ins):
    """Start an indicator: `far = stand_in_indicator(value_mm=1.25)`, port name `far.name`."""
    yield from _started(stand_ins.StandInIndicator)


@pytest.fixture
def stand_in_controller(stand_ins):
    """Start a controller: `far = stand_in_controller(faults=...)`, port name `far.name`."""
    yield from _started(stand_ins.StandInController)


def _started(kind):
    made = []

    def start(*args, **kwargs):
        made.append(kind(*args, **kwargs))
        return made[-1]

    yield start
    for one in made:
        one.close()
