"""The files that commands write from a session: drawing, page, PDF."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from plumbrise import __version__

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.cli.session import Session
    from plumbrise.explain import Explanation
    from plumbrise.foresee import Forecast
    from plumbrise.redesign import Proposal
    from plumbrise.report.proof_section import Proved
    from plumbrise.report.wiring_section import Wired
    from plumbrise.report.work_order_section import WorkDone


def drawing_of(session: Session, analysis: Analysis, explanation: Explanation) -> str:
    """The load path drawing as SVG that stands alone."""
    from plumbrise.drawing import load_path, mark

    marking = mark(session.machine, session.readings, explanation, analysis)
    return load_path(session.machine, marking, theme="print")


def html_of(
    session: Session,
    analysis: Analysis,
    explanation: Explanation,
    proposal: Proposal | None = None,
    forecast: Forecast | None = None,
    proved: Proved | None = None,
    work: WorkDone | None = None,
    wired: Wired | None = None,
) -> str:
    """The report as one HTML file, with what was asked for beside."""
    from plumbrise.files import write_machine, write_readings
    from plumbrise.report import html_report

    return html_report(
        session.machine,
        session.readings,
        analysis,
        explanation,
        when=date.today().isoformat(),
        version=__version__,
        machine_text=write_machine(session.machine),
        readings_text=write_readings(session.readings),
        proposal=proposal,
        forecast=forecast,
        proved=proved,
        work=work,
        wired=wired,
    )


def pdf_of(
    session: Session,
    analysis: Analysis,
    explanation: Explanation,
    paper: str,
    proposal: Proposal | None = None,
    forecast: Forecast | None = None,
    proved: Proved | None = None,
    work: WorkDone | None = None,
    wired: Wired | None = None,
) -> bytes:
    """The report as PDF on A4 or letter paper, with what was asked for beside."""
    from plumbrise.files import write_machine, write_readings
    from plumbrise.report import pdf_report

    return pdf_report(
        session.machine,
        session.readings,
        analysis,
        explanation,
        when=date.today().isoformat(),
        version=__version__,
        machine_text=write_machine(session.machine),
        readings_text=write_readings(session.readings),
        paper=paper,
        proposal=proposal,
        forecast=forecast,
        proved=proved,
        work=work,
        wired=wired,
    )
