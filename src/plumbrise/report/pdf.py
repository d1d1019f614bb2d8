"""The report as PDF: the same contents set by typst, tagged for screen readers (PDF/UA-1)."""

from __future__ import annotations

import json
from importlib.resources import as_file, files
from typing import Any

from plumbrise.analyse.results import Analysis
from plumbrise.errors import InputError
from plumbrise.explain.results import Explanation
from plumbrise.foresee import Forecast
from plumbrise.machine import Machine
from plumbrise.readings import Readings
from plumbrise.redesign import Proposal
from plumbrise.report.contents import contents
from plumbrise.report.pictures import Pictures
from plumbrise.report.proof_section import Proved
from plumbrise.report.setting import strings
from plumbrise.report.wiring_section import Wired
from plumbrise.report.work_order_section import WorkDone

PAPERS = {"a4": "a4", "letter": "us-letter"}
FIGURE_PX = 700


def pdf_report(
    machine: Machine,
    readings: Readings,
    analysis: Analysis,
    explanation: Explanation,
    *,
    when: str,
    version: str,
    machine_text: str,
    readings_text: str,
    paper: str = "a4",
    proposal: Proposal | None = None,
    forecast: Forecast | None = None,
    proved: Proved | None = None,
    work: WorkDone | None = None,
    wired: Wired | None = None,
) -> bytes:
    """The report as PDF, both files attached; the same input gives the same bytes.

    Args:
        machine: the axis as described.
        readings: the session.
        analysis: what the readings say by themselves.
        explanation: what the axis model makes of them.
        when: the date of the report, as it shall be printed; no clock is read here.
        version: the program's version.
        machine_text: the machine file, attached word for word.
        readings_text: the readings file, attached word for word.
        paper: a4 or letter.
        proposal: what to change, where that was asked.
        forecast: what a print will show, where that was asked.
        proved: what changed against the session before the work, where that was asked.
        work: the work order and what is done of it, where there is one.
        wired: the harness and its verdict, likewise.

    Raises:
        InputError: another paper.
    """
    made = contents(
        machine,
        readings,
        analysis,
        explanation,
        pictures=Pictures(theme="print", width_px=FIGURE_PX),
        when=when,
        version=version,
        machine_text=machine_text,
        readings_text=readings_text,
        proposal=proposal,
        forecast=forecast,
        proved=proved,
        work=work,
        wired=wired,
    )
    return typeset("report.typ", strings(made), paper)


def typeset(template: str, values: dict[str, Any], paper: str) -> bytes:
    """A template set with these strings; the same input gives the same bytes.

    Raises:
        InputError: a paper that is none.
    """
    if paper not in PAPERS:
        raise InputError(
            place="paper", value=paper, allowed=" or ".join(PAPERS), remedy="Name one of these."
        )
    import typst

    room = files("plumbrise.report")
    text = room.joinpath(f"templates/{template}").read_bytes()
    with as_file(room.joinpath("fonts")) as fonts:
        return bytes(
            typst.compile(
                text,
                font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(fonts)]),
                sys_inputs={
                    "report": json.dumps(_printable(values), ensure_ascii=False),
                    "paper": PAPERS[paper],
                },
                pdf_standards="ua-1",
                timestamp=0,
            )
        )


def _printable(value: Any) -> Any:
    """All strings without what no shipped font can show: such a sign becomes an open box, since
    a file for screen readers may hold no sign without a shape."""
    if isinstance(value, str):
        return "".join(sign if _has_shape(sign) else "\N{WHITE SQUARE}" for sign in value)
    if isinstance(value, dict):
        return {key: _printable(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_printable(inner) for inner in value]
    return value


_SHOWN = (
    (0x20, 0x7E),
    (0xA0, 0x17F),
    (0x391, 0x3A9),
    (0x3B1, 0x3C9),
    (0x400, 0x45F),
    (0x2010, 0x2026),
    (0x2030, 0x2030),
    (0x2070, 0x2070),
    (0x2074, 0x207B),
    (0x2080, 0x2089),
    (0x20AC, 0x20AC),
    (0x2190, 0x2193),
    (0x2212, 0x2212),
    (0x221A, 0x221A),
    (0x221E, 0x221E),
    (0x2248, 0x2248),
    (0x2264, 0x2265),
)
"""Stretches of signs that the text font or the fallback font has."""


def _has_shape(sign: str) -> bool:
    code = ord(sign)
    return sign in "\n\t" or any(low <= code <= high for low, high in _SHOWN)
