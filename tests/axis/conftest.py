"""The slow twin, random axes and short histories for tests of the axis model."""

import importlib.util
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from plumbrise.axis import Parameters, layout_of, parameters_of, sound, vector_of
from plumbrise.axis.parameters import shares
from plumbrise.machine import blank


def _loaded(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def reference() -> ModuleType:
    """The slow twin of the solver."""
    return _loaded("reference")


SPREAD = {
    "weight_n": (11, 0.5),
    "seat_stiffness_n_per_mm": (120, 1.2),
    "seat_travel_mm": (0.1, 0.8),
    "seat_stiffening": (1.5, 0.5),
    "coupling_stiffness_n_per_mm": (130, 1.2),
    "bracket_stiffness_n_per_mm": (160, 1.2),
    "play_mm": (0.08, 1.0),
    "end_float_mm": (0.03, 1.0),
    "drag_n": (4, 1.0),
    "racking_n_per_mm": (50, 1.1),
    "tilting_n_per_mm": (50, 1.1),
    "reach_mm": (0.08, 0.9),
    "spread": (0.8, 0.4),
    "weights": (1, 0.5),
    "misalignment_n": (2, 1.0),
    "spot_strength": (1.0, 1.0),
}
"""Quantity -> median and spread of its logarithm: from better than sound to worse than worn, and
drag beyond the weight, so that the nut floats."""


@pytest.fixture(scope="session")
def any_axis():
    """any_axis(arrangement, rng): a random axis of that arrangement."""

    def make(arrangement: str, rng: np.random.Generator) -> Parameters:
        base = sound(blank(arrangement))
        if arrangement == "one-screw" and rng.random() < 0.5:
            base = replace(base, lifts=(replace(base.lifts[0], end="right"),))
        layout, theta = layout_of(base), vector_of(base)
        for quantity, (median, spread) in SPREAD.items():
            for at in layout.of(quantity):
                theta[at] = median * np.exp(spread * rng.standard_normal())
        for at in layout.of("profile"):
            theta[at] = 0.2 * rng.standard_normal()
        for at in layout.of("offset_mm"):
            theta[at] = 0.02 * rng.standard_normal()
        for at in layout.of("lag_mm"):
            theta[at] = max(0.0, 0.01 * rng.standard_normal())
        theta[layout.index("spot_centre_mm")] = rng.uniform(0, 40)
        for name, share in zip(base.ends[:-1], shares(len(base.ends), 0.5), strict=False):
            theta[layout.index(f"weight_share:{name}")] = share * rng.uniform(0.5, 1.3)
        return parameters_of(base, theta)

    return make


@pytest.fixture(scope="session")
def any_path():
    """any_path(rng, count): told heights with small and large steps both ways."""

    def make(rng: np.random.Generator, count: int) -> list[float]:
        steps = rng.choice([0.02, 0.1, 0.5, 3.0], count) * rng.standard_normal(count)
        return [float(z) for z in np.clip(20 + np.cumsum(steps), 0, 60)]

    return make
