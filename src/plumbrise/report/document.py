"""The report as one HTML file that stands alone: no network, fonts and figures inside."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from plumbrise.analyse.results import Analysis
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

if TYPE_CHECKING:
    from jinja2 import Environment

WIDE_PX, PHONE_PX = 700, 340


def html_report(
    machine: Machine,
    readings: Readings,
    analysis: Analysis,
    explanation: Explanation,
    *,
    when: str,
    version: str,
    machine_text: str,
    readings_text: str,
    proposal: Proposal | None = None,
    forecast: Forecast | None = None,
    proved: Proved | None = None,
    work: WorkDone | None = None,
    wired: Wired | None = None,
) -> str:
    """The report as HTML: first page fit to publish, then set-ups, methods, doubts, the data.

    Args:
        machine: the axis as described.
        readings: the session.
        analysis: what the readings say by themselves.
        explanation: what the axis model makes of them.
        when: the date of the report, as it shall be printed; no clock is read here.
        version: the program's version.
        machine_text: the machine file; embedded word for word.
        readings_text: the readings file; embedded word for word.
        proposal: what to change, where that was asked.
        forecast: what a print will show, where that was asked.
        proved: what changed against the session before the work, where that was asked.
        work: the work order and what is done of it, where there is one.
        wired: the harness and its verdict, likewise.
    """
    pictures = Pictures(width_px=WIDE_PX, narrow_px=PHONE_PX, follows_page=True)
    made = contents(
        machine,
        readings,
        analysis,
        explanation,
        pictures=pictures,
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
    return (
        environment()
        .get_template("report.html")
        .render(
            r=strings(made),
            style=style_sheet(),
            machine_data=_base64(machine_text.encode()),
            readings_data=_base64(readings_text.encode()),
        )
    )


@cache
def environment() -> Environment:
    """Templates with escaping always on: whatever a person typed is text, never markup."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("plumbrise.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def style_sheet() -> str:
    """The style sheet with the text font inside."""
    room = files("plumbrise.report")
    font = _base64(room.joinpath("fonts/text.woff2").read_bytes())
    return room.joinpath("templates/report.css").read_text(encoding="utf-8").replace("@FONT@", font)


def _base64(content: bytes) -> str:
    return b64encode(content).decode("ascii")
