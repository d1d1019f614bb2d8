"""The verb of this room: from a session of readings to all figures, doubts and oddities."""

from __future__ import annotations

from plumbrise.analyse.budget import gauge_doubt
from plumbrise.analyse.results import Analysis, CannotTell, Figure, RunAnalysis
from plumbrise.analyse.staircase import staircase
from plumbrise.analyse.used import used
from plumbrise.readings import Readings, Run, Scale
from plumbrise.readings.kinds import STEP_KINDS


def analyse(readings: Readings, scale: Scale) -> Analysis:
    """What a session says by itself, without a model of the machine."""
    runs = tuple(analyse_run(run, scale) for run in readings.runs)
    return Analysis(runs, (), (), (), readings.remarks)


def analyse_run(run: Run, scale: Scale) -> RunAnalysis:
    """What one run says."""
    zero = next((r.reading_mm for r in run.readings if r.reading_mm is not None), 0.0)
    mended = tuple(None if r.reading_mm is None else r.reading_mm - zero for r in run.readings)
    data = used(run, mended)
    found: list[Figure | CannotTell] = []
    if data.n and run.kind in STEP_KINDS:
        stroke = float(data.told.max() - data.told.min())
        found = staircase(
            data.told - data.told[0],
            data.lag,
            gauge_doubt(scale, stroke),
            gains=run.follows_command,
        )
    return RunAnalysis(
        run,
        tuple(f for f in found if isinstance(f, Figure)),
        tuple(f for f in found if isinstance(f, CannotTell)),
        (),
        (),
        mended,
    )
