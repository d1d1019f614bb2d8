"""The report of an answer as a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from plumbrise.api.changing import ProposalAnswer, WiringAnswer, WorkAnswer
from plumbrise.api.explaining import Answer
from plumbrise.api.foreseeing import ForecastAnswer
from plumbrise.api.showing import StrPath

if TYPE_CHECKING:
    pass


def report(
    answer: Answer,
    path: StrPath,
    *,
    when: str,
    paper: Literal["a4", "letter"] = "a4",
    proposal: ProposalAnswer | None = None,
    forecast: ForecastAnswer | None = None,
    work: WorkAnswer | None = None,
    wired: WiringAnswer | None = None,
) -> Path:
    """Write the report of an answer; the ending of `path` says how, .html or .pdf.

    Args:
        answer: what `explain` gave.
        path: where to write.
        when: the date to print in it.
        paper: for a PDF.
        proposal: what `redesign` gave, to stand in the report.
        forecast: what `foresee` gave, likewise.
        work: what `build` gave, likewise.
        wired: what `wiring` gave, likewise.

    Raises:
        InputError: another ending.
        OSError: it cannot be written.
    """
    from plumbrise import __version__, files
    from plumbrise.errors import InputError
    from plumbrise.report import html_report, pdf_report
    from plumbrise.report.wiring_section import Wired
    from plumbrise.report.work_order_section import WorkDone

    path = Path(path)
    ending = path.suffix.lower()
    if ending not in (".html", ".pdf"):
        raise InputError(
            place="path",
            value=str(path),
            allowed="a name that ends in .html or .pdf",
            remedy="Give it one of these endings.",
        )
    session = (answer.machine, answer.readings, answer.analysis, answer.result)
    about: dict[str, Any] = {
        "when": when,
        "version": __version__,
        "machine_text": files.write_machine(answer.machine),
        "readings_text": files.write_readings(answer.readings),
        "proposal": None if proposal is None else proposal.result,
        "forecast": None if forecast is None else forecast.result,
        "work": None if work is None else WorkDone(work.result, work.progress),
        "wired": None if wired is None else Wired(wired.harness, wired.result),
    }
    if ending == ".html":
        path.write_text(html_report(*session, **about), encoding="utf-8", newline="\n")
    else:
        path.write_bytes(pdf_report(*session, paper=paper, **about))
    return path
