"""What the commands share: answers that the program gave before in this run, and the far ends of
serial lines."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator
from functools import partial
from hashlib import sha256
from importlib import import_module
from typing import Any

import numpy as np
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


def _again(kept: Callable, does: Callable) -> Callable:
    """This function, giving the answer that it gave in this run where all it is asked, the state
    of its chance with it, is the same; whoever watches its progress is told as then."""

    def answered(*asked: Any, rng: np.random.Generator, progress: Any = None, **more: Any) -> Any:
        def work_out() -> tuple[Any, list[Any], Any]:
            told: list[Any] = []
            if progress is not None:
                more["progress"] = lambda so_far: told.append(so_far) or True
            answer = does(*asked, rng=rng, **more)
            return answer, told, rng

        question = (does.__name__, asked, more, rng.bit_generator.state, progress is None)
        name = sha256(pickle.dumps(question)).hexdigest()
        answer, told, afterwards = kept(name, work_out)
        rng.bit_generator.state = afterwards.bit_generator.state
        for so_far in told:
            assert progress(so_far), "no command stops what it watches"
        return answer

    return answered


CALLED = (
    (import_module("plumbrise.explain"), "explain"),
    (import_module("plumbrise.redesign"), "prospects_for"),
    (import_module("plumbrise.redesign.redesigning"), "prospects_for"),
)
"""Where commands find what is worked out."""
ANEW = {name: getattr(room, name) for room, name in CALLED}


@pytest.fixture(scope="module", autouse=True)
def answers(kept) -> Iterator[None]:
    """Commands are run again and again on one session: what the program made of it once it is
    given at once. What it makes of sessions is looked at in the rooms that explain and redesign."""
    with pytest.MonkeyPatch.context() as patch:
        for room, name in CALLED:
            patch.setattr(room, name, _again(kept, ANEW[name]))
        yield


@pytest.fixture
def anew(answers, monkeypatch) -> None:
    """For a test that asks whether the same comes out once more."""
    for room, name in CALLED:
        monkeypatch.setattr(room, name, ANEW[name])
