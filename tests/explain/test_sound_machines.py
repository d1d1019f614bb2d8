"""Sound machines of a simulator with other physics are called sound."""

import sys
from pathlib import Path

import numpy as np
import pytest

from plumbrise.explain import explain

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import sessions
import strange


def sound_session(depth, seed):
    rng = np.random.default_rng([5, seed])
    axis = sessions.sound_axis("one-screw", rng)
    return axis.machine, strange.readings_of(axis, depth, None, rng)


@pytest.mark.parametrize(("depth", "seed"), [("gantry-only", 1), ("five-minutes", 2)])
def test_a_sound_machine_is_called_sound(depth, seed):
    machine, readings = sound_session(depth, seed)
    found = explain(machine, readings, rng=np.random.default_rng(0))
    assert max(c.probability for c in found.causes if c.could_be_seen) < 0.5
    assert found.sets[0].causes == ()
    assert found.unexplained.verdict != "some"


def test_an_effect_in_no_cause_leaves_no_cause_sure():
    rng = np.random.default_rng([5, 3])
    axis = sessions.sound_axis("one-screw", rng)
    effect = strange.EFFECTS["a tip on a rough face, 0.01 mm"]
    readings = strange.readings_of(axis, "gantry-only", effect, rng)
    found = explain(axis.machine, readings, rng=np.random.default_rng(0))
    assert found.unexplained.verdict == "some"
    assert max(c.probability for c in found.causes if c.could_be_seen) < 0.9
