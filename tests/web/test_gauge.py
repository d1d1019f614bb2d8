"""An indicator at a driven axis: what was at rest before the axis moved is never shown after it."""

from __future__ import annotations

import threading
import time
from types import SimpleNamespace

import pytest

from plumbrise.measure.stillness import StillnessRule
from plumbrise.web.capture_gauge import LiveGauge

RULE = StillnessRule(within_mm=0.001, values=2, seconds=0.05)


class Port:
    """An indicator that shows one value; `looked` is called whenever its last value is asked."""

    def __init__(self):
        self.looked = lambda: None
        self.number = 0

    def now(self):
        return time.monotonic()

    def _heard(self):
        value = SimpleNamespace(mm=1.25, resolution_mm=0.001)
        return SimpleNamespace(number=self.number, value=value, time_s=self.now())

    def since(self, _number, *, wait_s):
        time.sleep(0.02)
        self.number += 1
        return [self._heard()]

    @property
    def latest(self):
        self.looked()
        return self._heard()

    def health(self):
        return SimpleNamespace(trouble=None, words="")

    def close(self):
        pass


@pytest.fixture
def port():
    return Port()


def until(true, seconds=5.0):
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.005)
    assert true()


def test_what_stood_still_as_the_axis_came_to_rest_is_not_taken_for_the_new_place(port):
    with LiveGauge(port, lambda: port, rule=RULE) as gauge:
        until(lambda: gauge.shown.still_mm == 1.25)
        shown = []
        gauge.watchers.append(lambda: shown.append(gauge.shown.still_mm))

        def moved():
            """The axis comes to rest in the middle of a look."""
            port.looked = lambda: None
            coming = threading.Thread(target=gauge.afresh)
            coming.start()
            coming.join(0.2)

        port.looked = moved
        until(lambda: None in shown)
        gauge.watchers.clear()
        assert shown[-1] is None
