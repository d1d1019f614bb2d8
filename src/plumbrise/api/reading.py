"""Machine and readings from files, and what readings say by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from plumbrise.api.showing import StrPath, text_block

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.machine import Machine
    from plumbrise.readings import Readings, Scale


@dataclass(frozen=True, slots=True)
class AnalysisAnswer:
    """What readings say by themselves; `result` is the Analysis."""

    result: Analysis

    def __str__(self) -> str:
        from plumbrise.report import analysis_text

        return analysis_text(self.result)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise analyse --json` gives."""
        from plumbrise.files.results import analysis_dict

        return analysis_dict(self.result)


def read_machine(path: StrPath) -> Machine:
    """The machine that a TOML file describes.

    Raises:
        InputErrors: all that is wrong with the file.
        OSError: it cannot be read.
    """
    from plumbrise.files import read_machine as machine_in
    from plumbrise.files.decoding import text_of

    path = Path(path)
    return machine_in(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def read_readings(
    path: StrPath,
    machine: Machine,
    *,
    test: str | None = None,
    station: str | None = None,
    inches: bool = False,
) -> Readings:
    """The readings of a table (CSV or spreadsheet).

    Args:
        path: the file.
        machine: whose stations the table names.
        test: the test kind, for a short table that does not say it.
        station: the station, likewise.
        inches: the table's lengths are in inches.

    Raises:
        InputError: the file is too large for one session.
        InputErrors: all that is wrong with the table.
        OSError: it cannot be read.
    """
    from plumbrise.errors import InputError
    from plumbrise.files.readings_table import LARGEST_FILE
    from plumbrise.files.readings_table import read_readings as readings_in
    from plumbrise.readings import scale_of

    path = Path(path)
    if path.stat().st_size > LARGEST_FILE:  # before it fills the memory
        raise InputError(
            place=path.name,
            value=f"{path.stat().st_size} bytes",
            allowed=f"up to {LARGEST_FILE} bytes",
            remedy="Give one session's table.",
        )
    return readings_in(
        path.read_bytes(),
        name=path.name,
        scale=scale_of(machine),
        test=test,
        station=station,
        unit="inch" if inches else "mm",
        arrangement=machine.arrangement,
    )


def analyse(machine_or_scale: Machine | Scale, readings: Readings) -> AnalysisAnswer:
    """What the readings say by themselves, without a model of the machine."""
    from plumbrise.analyse import analyse as analysed
    from plumbrise.machine import Machine
    from plumbrise.readings import scale_of

    scale = (
        scale_of(machine_or_scale) if isinstance(machine_or_scale, Machine) else machine_or_scale
    )
    return AnalysisAnswer(analysed(readings, scale))
