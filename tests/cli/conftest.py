"""The far ends of serial lines, for commands that talk to indicators and controllers."""

from __future__ import annotations

import os
import sys
from functools import partial
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

from plumbrise.hardware import Timing, take_together
from plumbrise.measure.stillness import StillnessRule


@pytest.fixture
def stand_ins():
    if os.name == "nt":
        pytest.skip("stand-ins talk over pseudo-terminals, which this system has not")
    name = "plumbrise_stand_ins"
    if name not in sys.modules:
        beside = Path(__file__).parents[1] / "hardware" / "stand_ins.py"
        spec = spec_from_file_location(name, beside)
        sys.modules[name] = module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture
def quick(monkeypatch, stand_ins):
    """A controller and indicators are waited for as briefly as stand-ins need it."""
    for name, kind, how in (
        ("plumbrise.hardware.controller.Timing", Timing, stand_ins.QUICK),
        ("plumbrise.cli.hearing.StillnessRule", StillnessRule, {"seconds": 0.2}),
        ("plumbrise.cli.hearing.take_together", take_together, {"timeout_s": 4.0}),
    ):
        monkeypatch.setattr(name, partial(kind, **how))
