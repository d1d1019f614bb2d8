"""True figures of a machine under its simulator's own physics: what stands in its description, and
what returns at each end when a cause that is there is put right."""

from __future__ import annotations

from types import SimpleNamespace

import true_figures

from plumbrise.demo.session import Motion
from plumbrise.demo.true_axis import Axis


def figures(axis: Axis, there: frozenset[str], motion: Motion | None) -> dict[str, float]:
    """True figures by the keys of `true_figures`."""
    found = true_figures.of(SimpleNamespace(axis=axis, there=frozenset()))
    return found | true_figures.losses(axis, there, motion)
