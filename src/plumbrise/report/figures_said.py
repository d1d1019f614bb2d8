"""What the readings say by themselves, as text: the figures of each run with their uncertainty."""

from __future__ import annotations

from collections.abc import Sequence

from plumbrise.analyse.results import (
    Analysis,
    BetweenRuns,
    CannotTell,
    CrossCheck,
    Figure,
    RunAnalysis,
)
from plumbrise.machine import Machine
from plumbrise.quantity import Measured, Unit, plain
from plumbrise.readings import Readings
from plumbrise.report.amounts import micrometres
from plumbrise.report.layout import columns, folded, plain_line
from plumbrise.report.names import (
    as_sentence,
    counted,
    figure_name,
    listed,
    lowered,
    station_name,
)


def analysis_text(analysis: Analysis) -> str:
    """What each set-up says: figures with uncertainty, what cannot be told, odd things found."""
    empty = [run.run.name for run in analysis.runs if is_empty(run)]
    blocks = [run_text(run) for run in analysis.runs if not is_empty(run)]
    between = between_rows(analysis)
    if between:
        blocks.append(_titled("Set-ups side by side", columns(between)))
    gaps = [b.figure for b in analysis.between if isinstance(b.figure, CannotTell)]
    said = [line for words in cannot_tell_sentences(gaps) for line in folded(words)]
    blocks.append(_titled("Cannot tell yet", said))
    blocks.append(_titled("Not read yet", folded(f"{plain_line(listed(empty))}.") if empty else []))
    checks = [line for check in analysis.cross_checks for line in folded(cross_check(check))]
    blocks.append(_titled("Loop width against stiffness and drag", checks))
    odd = [line for oddity in analysis.oddities for line in folded(as_sentence(oddity.words))]
    blocks.append(_titled("Odd things found", odd))
    remarks = [line for remark in analysis.remarks for line in folded(as_sentence(remark))]
    blocks.append(_titled("Taken as", remarks))
    text = "\n\n".join(block for block in blocks if block)
    return text or "No readings to speak of."


def run_text(run: RunAnalysis) -> str:
    """One set-up: its sentence, its figures, what it cannot tell, what was odd."""
    lines = folded(run_sentence(run))
    lines += columns(figure_rows(run))
    lines += [w for words in cannot_tell_sentences(run.cannot_tell) for w in folded(words)]
    for oddity in run.oddities:
        aside = " Set aside." if oddity.set_aside else ""
        lines += folded(f"Odd: {as_sentence(oddity.words)}{aside}")
    return _titled(plain_line(run_title(run)), lines or ["Nothing to say of this set-up."])


def is_empty(run: RunAnalysis) -> bool:
    """A set-up of which nothing was read yet."""
    return all(r.reading_mm is None and r.torque_nmm is None for r in run.run.readings)


def run_title(run: RunAnalysis) -> str:
    """A set-up's heading: name, test, station, how many readings."""
    return (
        f"{run.run.name}: {lowered(run.run.kind.title)}, {station_name(run.run.station.id)}, "
        f"{counted(run.run.taken_count, 'reading')}"
    )


_FIRST_WORDS: tuple[tuple[str, str], ...] = (
    ("lost_motion", "loses {}"),
    ("home_range", "comes home within {}"),
    ("compliance", "gives way by {}"),
    ("once_per_turn", "ripples by {} once a turn"),
    ("drift", "drifts by {}"),
    ("reversal_value", "differs by {} between up and down"),
)


def run_sentence(run: RunAnalysis) -> str:
    """What a set-up shows, in one sentence: its first figure, or that it shows none."""
    place = station_name(run.run.station.id)
    subject = f"The {place}" if run.run.station.id != "block" else "The gauge on a solid block"
    for name, words in _FIRST_WORDS:
        figure = next((f for f in run.figures if f.name == name and _plain_detail(f)), None)
        if figure is not None and name == "lost_motion" and _is_no_loss(figure):
            return f"{subject} shows no loss: {value_words(figure)}."
        if figure is not None:
            return f"{subject} {words.format(value_words(figure))}.{_then(run, name)}"
    if run.figures:
        figure = run.figures[0]
        name = lowered(figure_name(figure.name, figure.detail))
        return f"{subject}: {name} {value_words(figure)}."
    if run.cannot_tell:
        return f"{subject} says nothing yet: {_reason(run.cannot_tell[0])}."
    return f"{subject}: no figure is drawn from these readings."


def _is_no_loss(lost: Figure) -> bool:
    """Within its own give or take, or ahead of what was told."""
    return lost.value.value <= (0.0 if lost.at_least else lost.value.expanded)


def _plain_detail(figure: Figure) -> bool:
    return figure.detail in ("", "amplitude", "in all", "rate")


def _then(run: RunAnalysis, name: str) -> str:
    take_up = run.figure("take_up") if name == "lost_motion" else None
    return f" It is taken up after {value_words(take_up)}." if take_up is not None else ""


def value_words(figure: Figure) -> str:
    """A figure's value with unit and 95 % half width; a lower bound says so."""
    least = "at least " if figure.at_least else ""
    return f"{least}{measured_words(figure.value)}"


def measured_words(value: Measured) -> str:
    """A measured value; ratios near nothing, such as a scale error, in per cent.

    Example:
        >>> measured_words(Measured(0.0021, 0.0002, Unit.RATIO))
        '0.21 ± 0.04 %'
    """
    if value.unit is Unit.RATIO and abs(value.value) < 0.1:
        hundred = Measured(100 * value.value, 100 * value.u, Unit.RATIO, value.dof)
        return f"{hundred} %"
    return str(value)


def figure_rows(run: RunAnalysis) -> list[tuple[str, str]]:
    """The figures of a run: name, value."""
    return [
        (
            figure_name(figure.name, figure.detail)
            + (f", at {figure.at_mm:g} mm" if figure.at_mm is not None else ""),
            value_words(figure),
        )
        for figure in run.figures
    ]


def between_rows(analysis: Analysis) -> list[tuple[str, str, str]]:
    """Figures that take two runs: name, value, which runs."""
    return [
        (figure_name(each.figure.name, each.figure.detail), value_words(each.figure), _of(each))
        for each in analysis.between
        if isinstance(each.figure, Figure)
    ]


def _of(each: BetweenRuns) -> str:
    return f"from {plain_line(listed(list(each.runs)))}" if each.runs else ""


def cannot_tell_sentences(gaps: Sequence[CannotTell]) -> tuple[str, ...]:
    """Figures that readings do not give: why not, and what would; one sentence a reason."""
    alike: dict[tuple[str, str], list[str]] = {}
    for gap in gaps:
        need = f" {as_sentence(gap.need)}" if gap.need else ""
        name = lowered(figure_name(gap.name, gap.detail))
        alike.setdefault((_reason(gap), need), []).append(name)
    return tuple(
        f"Cannot tell yet, {listed(list(dict.fromkeys(names)))}: {why}.{need}"
        for (why, need), names in alike.items()
    )


def _reason(gap: CannotTell) -> str:
    why = lowered(gap.why.strip()).rstrip(".")
    return why.removeprefix("cannot tell yet: ")


def cross_check(check: CrossCheck) -> str:
    """A cross-check as a sentence; the check's own words hold its figures and verdict."""
    words = as_sentence(check.words)
    if check.agrees is None and "cannot" not in words.lower():
        return f"{words} Cannot tell yet."
    return words


def how_measured(machine: Machine, readings: Readings, analysis: Analysis | None = None) -> str:
    """How the readings were taken: gauge, set-ups, readings, stations, room, gauge check."""
    resolution = machine.gauge.resolution_mm
    gauge = f"Dial gauge to {resolution:g} mm" if resolution else "Gauge not described"
    places = list(dict.fromkeys(station_name(run.station.id) for run in readings.runs))
    sentences = [
        f"{gauge}, {counted(len(readings.runs), 'set-up')}, {counted(readings.count, 'reading')}."
    ]
    if places:
        sentences.append(f"Read at the {listed(places)}.")
    temperatures = [
        reading.temp_c
        for run in readings.runs
        for reading in run.readings
        if reading.temp_c is not None
    ]
    if temperatures:
        low, high = min(temperatures), max(temperatures)
        room = f"{low:.1f}" if high - low < 0.05 else f"{low:.1f} to {high:.1f}"
        sentences.append(f"Room {room} °C.")
    sentences += _gauge_check(analysis)
    return " ".join(sentences)


def _gauge_check(analysis: Analysis | None) -> list[str]:
    for run in analysis.runs if analysis is not None else ():
        if run.run.kind.id == "gauge-check" and run.figures:
            figure = run.figures[0]
            size = (
                micrometres(figure.value.value)
                if figure.value.unit is Unit.MM and abs(figure.value.value) < 0.1
                else plain(figure.value.value, 3)
            )
            if figure.value.unit is Unit.MM:
                half = micrometres(figure.value.expanded)
                name = lowered(figure_name(figure.name, figure.detail))
                return [f"Gauge checked on a solid block: {name} {size}, give or take {half}."]
            return ["Gauge checked on a solid block."]
    return ["Gauge not checked on a solid block."]


def _titled(title: str, lines: list[str]) -> str:
    return "\n".join([title, *(f"  {line}" for line in lines)]) if lines else ""
