"""A kept work order and a harness from their files, as a report shows them."""

from __future__ import annotations

from pathlib import Path

from plumbrise.build import build_steps
from plumbrise.files.decoding import text_of
from plumbrise.files.harness_file import read_harness
from plumbrise.files.json_text import json_object
from plumbrise.files.work_order import changes_in, read_progress
from plumbrise.machine import Machine
from plumbrise.report.wiring_section import Wired
from plumbrise.report.work_order_section import WorkDone
from plumbrise.wiring import judge


def work_at(path: Path, before: Machine) -> WorkDone:
    """The work order that a file keeps, on the machine as it was before the work.

    Raises:
        InputError: no work order, or one whose changes this machine cannot have.
    """
    text = text_of(path.read_bytes(), name=path.name).text
    progress = read_progress(text, name=path.name)
    return WorkDone(build_steps(before, changes_in(json_object(text))), progress)


def wired_at(path: Path) -> Wired:
    """The harness of a file, judged.

    Raises:
        InputErrors: all that is wrong with the file.
    """
    harness = read_harness(text_of(path.read_bytes(), name=path.name).text, name=path.name)
    return Wired(harness, judge(harness))
