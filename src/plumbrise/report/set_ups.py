"""The pages after the first: each set-up with its sentence, chart, figures and readings."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.analyse.results import Analysis, RunAnalysis
from plumbrise.explain.results import Explanation
from plumbrise.quantity import plain
from plumbrise.report.figures_said import (
    cannot_tell_sentences,
    figure_rows,
    run_sentence,
    run_title,
)
from plumbrise.report.layout import plain_line
from plumbrise.report.names import as_sentence
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.tables import Table


@dataclass(frozen=True, slots=True)
class SetUp:
    """One set-up: what it shows in a sentence, the chart, figures, what is open, the readings."""

    title: str
    sentence: str
    chart: Picture | None
    figures: Table
    notes: tuple[str, ...]
    readings: Table
    targets: Table


def set_ups(analysis: Analysis, explanation: Explanation, pictures: Pictures) -> tuple[SetUp, ...]:
    """Every set-up in the order taken."""
    fits = {fit.run: fit for fit in explanation.fits}
    return tuple(
        SetUp(
            title=plain_line(run_title(run)),
            sentence=run_sentence(run),
            chart=pictures.chart(run, fits.get(run.run.name)),
            figures=Table(
                ("Figure", "value ± 95 %"), tuple(figure_rows(run)), "What this set-up says"
            ),
            notes=_notes(run),
            readings=_readings(run),
            targets=_targets(run),
        )
        for run in analysis.runs
    )


def _notes(run: RunAnalysis) -> tuple[str, ...]:
    lines = list(cannot_tell_sentences(run.cannot_tell))
    for oddity in run.oddities:
        aside = " Set aside." if oddity.set_aside else ""
        lines.append(f"Odd: {as_sentence(plain_line(oddity.words))}{aside}")
    return tuple(lines)


def _readings(run: RunAnalysis) -> Table:
    """The readings as taken; a column that never says anything is left out."""
    taken = run.run.readings
    columns: list[tuple[str, list[str]]] = [
        ("told, mm", [plain_number(r.target_mm) for r in taken]),
        ("read, mm", [plain_number(r.reading_mm) for r in taken]),
        ("used, mm", _used(run)),
        ("from", [{"up": "below", "down": "above"}.get(r.approach, r.approach) for r in taken]),
        ("hung, kg", [plain_number(r.mass_kg) if r.mass_kg else "" for r in taken]),
        ("force, N", [plain_number(r.force_n) for r in taken]),
        ("torque, N·mm", [plain_number(r.torque_nmm) for r in taken]),
        ("time, s", [plain_number(r.time_s) for r in taken]),
        ("°C", [plain_number(r.temp_c) for r in taken]),
        ("note", [plain_line(r.note) for r in taken]),
    ]
    kept = [(head, cells) for head, cells in columns if any(cells)]
    return Table(
        tuple(head for head, _ in kept),
        tuple(zip(*(cells for _, cells in kept), strict=True)),
        "Readings as taken",
        words=0,
        last_is_words=bool(kept) and kept[-1][0] == "note",
    )


def _used(run: RunAnalysis) -> list[str]:
    """Readings as used, only where they differ from those taken by more than the run's zero."""
    if len(run.mended_mm) != len(run.run.readings):
        return [""] * len(run.run.readings)
    shown = []
    for reading, used in zip(run.run.readings, run.mended_mm, strict=True):
        if reading.reading_mm is None:
            shown.append("")
        else:
            shown.append(
                "set aside" if used is None else f"{plain(used, 4):s}".rstrip("0").rstrip(".")
            )
    return shown


def plain_number(value: float | None) -> str:
    """A reading as it was typed, as far as that can be known.

    Example:
        >>> plain_number(0.30000000000000004), plain_number(None)
        ('0.3', '')
    """
    if value is None:
        return ""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _targets(run: RunAnalysis) -> Table:
    def cell(value: float | None) -> str:
        return "" if value is None else plain(value, 4)

    rows = tuple(
        (
            plain_number(target.target_mm),
            cell(target.mean_up_mm),
            cell(target.mean_down_mm),
            cell(target.reversal_mm),
            cell(target.sd_up_mm),
            cell(target.sd_down_mm),
            f"{target.n_up} + {target.n_down}",
        )
        for target in run.targets
    )
    head = ("height, mm", "up, mm", "down, mm", "reversal, mm", "sd up", "sd down", "readings")
    return Table(head, rows, "Mean deviations by height", words=0)
