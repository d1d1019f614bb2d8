"""The far ends of serial lines, for commands that talk to indicators and controllers."""

from __future__ import annotations

from functools import partial

import pytest

from plumbrise.hardware import Timing, take_together
from plumbrise.measure.stillness import StillnessRule


@pytest.fixture
def quick(monkeypatch, stand_ins):
    """A controller and indicators are waited for as briefly as stand-ins need it."""
    for name, kind, how in (
        ("plumbrise.hardware.controller.Timing", Timing, stand_ins.QUICK),
        ("plumbrise.cli.hearing.StillnessRule", StillnessRule, {"seconds": 0.2}),
        ("plumbrise.cli.hearing.take_together", take_together, {"timeout_s": 4.0}),
    ):
        monkeypatch.setattr(name, partial(kind, **how))
