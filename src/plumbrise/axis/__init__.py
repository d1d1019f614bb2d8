"""The axis model: how a screw-raised body really moves, and what a gauge sees of it.

Described machine to numbers:

    sound(machine) -> Parameters            the axis in good order; a fault is a changed copy
    layout_of(parameters) -> Layout         names and places of the numbers in a vector
    vector_of(parameters) -> theta          natural units (mm, N, N/mm, ratios)
    parameters_of(base, theta) -> Parameters

Many predictions of one session, for a fitter:

    prepare(machine or parameters, readings) -> Session     rows: every reading, run by run
    predict(session, theta) -> reading_mm                   zero not applied, no linear terms
    predict_all(session, thetas, threads=1) -> Prediction   a vector a row, one compiled call
    jacobian(session, theta, which, steps) -> (reading_mm, derivatives)
    linear_terms(session) -> LinearTerms                    columns that add to the readings

A fitter that works in transformed coordinates v stacks theta(v), theta(v + h e_1), ... and
calls `predict_all` once. In natural units an absent cause is a plain 0 (no tight spot:
"spot_strength" 0; no misalignment: "misalignment_n:left" 0; a clamp that holds: "hold_n:left"
inf).

One axis, in full:

    simulate(parameters, readings) -> Prediction            thread errors included
    follow_path(parameters, moves) -> Path                  heights, forces, link shifts

Every move is solved to its exact equilibrium; `unconverged` counts those that were not (none is
expected). The first call compiles the solver, a few seconds; the edge of the program keeps the
result with `plumbrise.cli.compiled_cache.use_compiled_cache()`, called before this room is
imported. Units: mm, N, N·mm; heights positive upward; `behind` positive where the body lags.
"""

from plumbrise.axis.linear_terms import LinearTerms, linear_terms
from plumbrise.axis.parameters import (
    FrameJoint,
    Guide,
    Lift,
    Parameters,
    Thread,
    TightSpot,
    sound,
    with_guide,
    with_lift,
)
from plumbrise.axis.simulate import (
    Path,
    Prediction,
    Session,
    follow_path,
    jacobian,
    predict,
    predict_all,
    prepare,
    simulate,
)
from plumbrise.axis.vector import Layout, layout_of, parameters_of, vector_of

__all__ = [
    "FrameJoint",
    "Guide",
    "Layout",
    "Lift",
    "LinearTerms",
    "Parameters",
    "Path",
    "Prediction",
    "Session",
    "Thread",
    "TightSpot",
    "follow_path",
    "jacobian",
    "layout_of",
    "linear_terms",
    "parameters_of",
    "predict",
    "predict_all",
    "prepare",
    "simulate",
    "sound",
    "vector_of",
    "with_guide",
    "with_lift",
]
