"""The steps that commands share: read the two files, analyse, explain with progress."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.progress import working
from plumbrise.cli.reading import machine_at, readings_at

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.explain import Explanation
    from plumbrise.machine import Machine
    from plumbrise.readings import Readings


@dataclass(frozen=True, slots=True)
class Session:
    """What every stage starts from."""

    machine: Machine
    readings: Readings

    def analysed(self) -> Analysis:
        """What the readings say by themselves."""
        from plumbrise.analyse import analyse
        from plumbrise.readings import scale_of

        return analyse(self.readings, scale_of(self.machine))

    def explained(self, *, seed: int, quiet: bool = False) -> Explanation:
        """What the axis model makes of them, with progress on the error stream."""
        with working("Preparing the solver (takes longer the first time)", quiet=quiet) as line:
            from plumbrise.cli.compiled_cache import use_compiled_cache

            use_compiled_cache()
            import numpy as np

            from plumbrise.explain import explain
            from plumbrise.report import headline

            def progress(so_far: Explanation) -> bool:
                if line is not None:
                    words = headline(self.machine, self.readings, None, so_far)
                    line.better(f"So far: {words}. Working on.")
                return True

            rng = np.random.default_rng(seed)
            return explain(self.machine, self.readings, rng=rng, progress=progress)


def session_at(
    machine_path: Path,
    readings_path: Path,
    *,
    test: str | None,
    station: str | None,
    inches: bool,
) -> Session:
    """The machine and the readings that two files hold.

    Raises:
        InputError: a table in which nothing is filled in.
    """
    machine = machine_at(machine_path)
    readings = readings_at(readings_path, machine, test, station, inches)
    if not readings.count:
        from plumbrise.files.faults import none_taken

        raise none_taken().within(readings_path.name)
    return Session(machine, readings)


def show_json(value: object) -> None:
    """JSON to standard output, nothing else there."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False))
